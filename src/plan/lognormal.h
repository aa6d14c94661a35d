// Lognormal minutes: what a low and a high figure mean, how such times add up, and the quantiles
// that are shown.
//
// Minutes are > 0. log_median is ln(median), log_sd the standard deviation of ln(minutes). Values
// are plain; functions may be called from any thread.
#pragma once

#include <span>

namespace verdigrid {

// z of the 90 % point of the standard normal distribution.
inline constexpr double k_z90 = 1.2815515655446004;

double normal_share(double z);     // P(Z <= z)
double normal_quantile(double p);  // inverse; p in (0, 1) (require)

// Student's t: the value that a share p of draws stays below. df > 0 (require).
double student_t_quantile(double p, double df);

struct Lognormal {
  double log_median = 0, log_sd = 0;

  double median() const;
  double mean() const;
  double sd() const;
  double quantile(double p) const;
};

// With P10 = low and P90 = high; 0 < low <= high (require). Median = sqrt(low x high).
Lognormal lognormal_of(double low, double high);

// A lognormal with the mean and variance of the sum of independent ones (L. F. Fenton, IRE Trans.
// Commun. Syst. 8 (1960) 57-67: the Fenton-Wilkinson way; its upper tail is 2 to 3 % high). Not
// empty (require).
Lognormal lognormal_sum(std::span<const Lognormal> terms);

// The sum of n independent times of one kind, n >= 1 (may be broken: 2.5 pieces).
Lognormal lognormal_times(const Lognormal& one, double n);

// Multiplied with an independent factor of median 1: exact.
Lognormal with_factor(const Lognormal& time, double factor_log_sd);

}  // namespace verdigrid
