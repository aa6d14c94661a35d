#include "plan/pert.h"

#include <cmath>

#include "base/error.h"

namespace verdigrid {

double pert_mean(const Triple& t) { return (t.low + 4 * t.likely + t.high) / 6; }

double pert_sd(const Triple& t) { return (t.high - t.low) / 6; }

double correlated_sd(std::span<const double> sds, double rho) {
  double sum = 0, squares = 0;
  for (const double s : sds) sum += s, squares += s * s;
  return std::sqrt((1 - rho) * squares + rho * sum * sum);
}

BetaShape beta_shape(const Triple& t) {
  require(t.low < t.high && t.low <= t.likely && t.likely <= t.high, "low <= likely <= high");
  const double range = t.high - t.low;
  return {1 + 4 * (t.likely - t.low) / range, 1 + 4 * (t.high - t.likely) / range};
}

double beta_sd(const Triple& t) {
  const double mean = pert_mean(t);
  return std::sqrt((mean - t.low) * (t.high - mean) / 7);
}

}  // namespace verdigrid
