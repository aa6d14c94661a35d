#include "plan/lognormal.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_halvings = 80;         // more than the digits of a double
constexpr double k_farthest_z = 40;    // the normal share is 0 or 1 to the last digit before it
constexpr double k_farthest_t = 1e7;   // for the smallest df in use
constexpr int k_simpson_strips = 400;  // of the t density, far below 1e-9
constexpr double k_density_ends = 40;  // standard deviations

Lognormal with_moments(double mean, double variance) {
  const double s2 = std::log1p(variance / (mean * mean));
  return {std::log(mean) - s2 / 2, std::sqrt(s2)};
}

// Rising function's argument with the value `wanted`, by halving.
template <class F>
double inverse(const F& f, double wanted, double low, double high) {
  for (int i = 0; i < k_halvings; ++i) {
    const double mid = (low + high) / 2;
    (f(mid) < wanted ? low : high) = mid;
  }
  return (low + high) / 2;
}

// P(T <= t) for t >= 0: Simpson's rule in x = atan(t / sqrt(df)), where the density is a power of
// the cosine.
double t_share(double t, double df) {
  const double end = std::min(std::atan(t / std::sqrt(df)), k_density_ends / std::sqrt(df));
  const double scale =
      std::exp(std::lgamma((df + 1) / 2) - std::lgamma(df / 2)) / std::sqrt(std::numbers::pi);
  const auto density = [&](double x) { return std::pow(std::cos(x), df - 1); };
  const double h = end / k_simpson_strips;
  double sum = density(0) + density(end);
  for (int i = 1; i < k_simpson_strips; ++i) sum += density(i * h) * (i % 2 == 1 ? 4 : 2);
  return 0.5 + scale * sum * h / 3;
}

}  // namespace

double normal_share(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double normal_quantile(double p) {
  require(p > 0 && p < 1, "a quantile's share lies between 0 and 1");
  return inverse(normal_share, p, -k_farthest_z, k_farthest_z);
}

double student_t_quantile(double p, double df) {
  require(p > 0 && p < 1 && df > 0, "share between 0 and 1, degrees of freedom above 0");
  if (p < 0.5) return -student_t_quantile(1 - p, df);
  return inverse([df](double t) { return t_share(t, df); }, p, 0, k_farthest_t);
}

double Lognormal::median() const { return std::exp(log_median); }
double Lognormal::mean() const { return std::exp(log_median + log_sd * log_sd / 2); }
double Lognormal::sd() const { return mean() * std::sqrt(std::expm1(log_sd * log_sd)); }
double Lognormal::quantile(double p) const {
  return std::exp(log_median + log_sd * normal_quantile(p));
}

Lognormal lognormal_of(double low, double high) {
  require(low > 0 && low <= high, "0 < low <= high");
  return {(std::log(low) + std::log(high)) / 2, (std::log(high) - std::log(low)) / (2 * k_z90)};
}

Lognormal lognormal_sum(std::span<const Lognormal> terms) {
  require(!terms.empty(), "a sum has terms");
  double mean = 0, variance = 0;
  for (const Lognormal& t : terms) mean += t.mean(), variance += t.sd() * t.sd();
  return with_moments(mean, variance);
}

Lognormal lognormal_times(const Lognormal& one, double n) {
  require(n > 0, "a number of pieces is above 0");
  return with_moments(one.mean() * n, one.sd() * one.sd() * n);
}

Lognormal with_factor(const Lognormal& time, double factor_log_sd) {
  return {time.log_median, std::hypot(time.log_sd, factor_log_sd)};
}

}  // namespace verdigrid
