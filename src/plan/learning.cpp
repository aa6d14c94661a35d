#include "plan/learning.h"

#include <cmath>

#include "base/error.h"

namespace verdigrid {

LogBelief updated(const LogBelief& prior, std::span<const LoggedJob> jobs) {
  double weight = 1 / (prior.log_mean_sd * prior.log_mean_sd), sum = weight * prior.log_mean;
  for (const LoggedJob& job : jobs) {
    const double w = 1 / (job.log_sd * job.log_sd);
    weight += w, sum += w * job.log_minutes;
  }
  return {sum / weight, 1 / std::sqrt(weight)};
}

Lognormal next_job(const LogBelief& belief, double log_sd) {
  return {belief.log_mean, std::hypot(log_sd, belief.log_mean_sd)};
}

SpreadBelief updated(const SpreadBelief& prior, std::span<const double> log_minutes) {
  if (log_minutes.empty()) return prior;
  const double n = static_cast<double>(log_minutes.size());
  double mean = 0, squares = 0;
  for (const double x : log_minutes) mean += x / n;
  for (const double x : log_minutes) squares += (x - mean) * (x - mean);
  const double weight = prior.weight + n, off = mean - prior.log_mean;
  return {(prior.weight * prior.log_mean + n * mean) / weight, weight, prior.shape + n / 2,
          prior.scale + squares / 2 + prior.weight * n * off * off / (2 * weight)};
}

NextJobT next_job(const SpreadBelief& b) {
  return {2 * b.shape, b.log_mean, std::sqrt(b.scale * (b.weight + 1) / (b.shape * b.weight))};
}

double NextJobT::quantile(double p) const {
  return std::exp(location + scale * student_t_quantile(p, df));
}

double RateBelief::mean_minutes() const {
  require(shape > 1, "a mean time needs more than one job");
  return minutes / (shape - 1);
}

RateBelief updated(const RateBelief& prior, double jobs, double minutes) {
  return {prior.shape + jobs, prior.minutes + minutes};
}

double learning_exponent(double slope) {
  require(slope > 0 && slope <= 1, "a learning slope lies in (0, 1]");
  return std::log2(slope);
}

double nth_minutes(double first, double slope, int n) {
  require(n >= 1, "pieces are counted from 1");
  return first * std::pow(n, learning_exponent(slope));
}

double minutes_of_first(double first, double slope, int count) {
  double sum = 0;
  for (int n = 1; n <= count; ++n) sum += nth_minutes(first, slope, n);
  return sum;
}

LearningFit learning_fit(std::span<const double> minutes) {
  require(minutes.size() >= 2, "a learning curve needs two jobs");
  const double count = static_cast<double>(minutes.size());
  double x_mean = 0, y_mean = 0, xx = 0, xy = 0;
  for (size_t i = 0; i < minutes.size(); ++i) {
    require(minutes[i] > 0, "minutes are above 0");
    x_mean += std::log(static_cast<double>(i + 1)) / count;
    y_mean += std::log(minutes[i]) / count;
  }
  for (size_t i = 0; i < minutes.size(); ++i) {
    const double dx = std::log(static_cast<double>(i + 1)) - x_mean;
    xx += dx * dx, xy += dx * (std::log(minutes[i]) - y_mean);
  }
  const double exponent = xy / xx;
  return {std::exp(y_mean - exponent * x_mean), exponent, std::exp2(exponent)};
}

}  // namespace verdigrid
