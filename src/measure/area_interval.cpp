#include "measure/area_interval.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_two_sided_95 = 1.959963984540054;  // normal quantile at 0.975

}  // namespace

Interval area_interval(double area, const AreaErrors& e) {
  require(area >= 0 && e.edge_variance >= 0 && e.scale_variance >= 0, "an area is not negative");
  const double missed = e.label.missed_share * e.place_area;
  if (area <= 0) return {0, 0, missed};
  const double rel_variance = (e.scale_variance + e.edge_variance) / (area * area);
  double low = 0, high = 0;
  if (e.label == LabelError{}) {
    const double half = k_two_sided_95 * std::sqrt(rel_variance) * area;
    low = area - half;
    high = area + half;
  } else {
    const double centre = area * std::exp(-e.label.log_bias);
    const double log_sd = std::sqrt(rel_variance + e.label.log_sd * e.label.log_sd);
    low = centre * std::exp(-k_two_sided_95 * log_sd) - e.label.false_share * e.place_area;
    high = centre * std::exp(k_two_sided_95 * log_sd) + missed;
  }
  return {area, std::max(0.0, std::min(low, area)), std::max(high, area)};
}

}  // namespace verdigrid
