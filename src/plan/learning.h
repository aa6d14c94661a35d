// What logged minutes say: formulas that move a prior towards what was measured, and learning
// curves.
//
// "log" figures are of ln(minutes). The conjugate updates are textbook formulas (A. Gelman et al.,
// Bayesian Data Analysis, 3rd ed., ch. 2 and 3). All pure.
#pragma once

#include <span>

#include "plan/lognormal.h"

namespace verdigrid {

// Normal on ln(minutes), what its mean is believed to be: a log mean and how sure.
struct LogBelief {
  double log_mean = 0, log_mean_sd = 0;
};

// A measured job: ln(minutes) and the spread that a single job of its kind has.
struct LoggedJob {
  double log_minutes = 0, log_sd = 0;
};

// Known spread: precision-weighted, so a few jobs move the belief a little (shrinkage).
LogBelief updated(const LogBelief& prior, std::span<const LoggedJob> jobs);

// The next job: what is believed of the mean and the spread of one job together.
Lognormal next_job(const LogBelief& belief, double log_sd);

// Unknown spread: normal-inverse-gamma. Weight k0 of the prior mean in jobs; shape a0, scale b0 of
// the variance.
struct SpreadBelief {
  double log_mean = 0, weight = 0, shape = 0, scale = 0;
};
SpreadBelief updated(const SpreadBelief& prior, std::span<const double> log_minutes);

// The next job is Student t in ln(minutes).
struct NextJobT {
  double df = 0, location = 0, scale = 0;
  double quantile(double p) const;  // minutes
};
NextJobT next_job(const SpreadBelief& belief);

// Only a total is known: gamma on the rate. Prior of `shape` jobs in `minutes`; the mean time of a
// job, minutes / (shape - 1), needs shape > 1 (require).
struct RateBelief {
  double shape = 0, minutes = 0;
  double mean_minutes() const;
};
RateBelief updated(const RateBelief& prior, double jobs, double minutes);

// Unit learning curve (J. R. Crawford, 1947): the n-th piece takes first x n^b, b = log2(slope).
double learning_exponent(double slope);                          // slope in (0, 1] (require)
double nth_minutes(double first, double slope, int n);           // n >= 1 (require)
double minutes_of_first(double first, double slope, int count);  // sum of the first `count`

struct LearningFit {
  double first_minutes = 0, exponent = 0, slope = 1;
};
// Least squares of ln(minutes) on ln(n), n = 1, 2, ...; at least two, all > 0 (require).
LearningFit learning_fit(std::span<const double> minutes);

}  // namespace verdigrid
