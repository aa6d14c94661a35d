#include "report/figures.h"

#include <fmt/format.h>

#include <cmath>

namespace verdigrid {

namespace {

const char* way_words(ScaleWay way) {
  switch (way) {
    case ScaleWay::board_size_outline:
      return "by the board's size and the outline found";
    case ScaleWay::board_size_corners:
      return "by the board's size and the corners given";
    case ScaleWay::scale_card:
      return "by the scale card";
    case ScaleWay::two_points:
      return "by two points and their distance";
    case ScaleWay::layout:
      return "by the layout of the board type";
    case ScaleWay::none:
      break;
  }
  return "without a scale";
}

}  // namespace

std::string figure(double value) {
  if (std::isnan(value)) return "not known";
  const double size = std::abs(value);
  if (size == 0) return "0";
  if (size >= 99.95) return fmt::format("{:.0f}", value);
  const int digits = std::max(0, 2 - static_cast<int>(std::floor(std::log10(size))));
  return fmt::format("{:.{}f}", value, std::min(digits, 6));
}

std::string figure(double value, const std::string& unit) {
  return std::isnan(value) || unit.empty() ? figure(value) : figure(value) + " " + unit;
}

std::string area_figure(const Interval& area) {
  return fmt::format("{} mm² ({} to {})", figure(area.value), figure(area.low), figure(area.high));
}

std::string percent_figure(double percent) {
  if (percent <= 0) return "0 %";
  if (percent < 0.01) return "< 0.01 %";
  return fmt::format("{:.{}f} %", percent, percent < 0.995 ? 2 : (percent < 9.95 ? 1 : 0));
}

std::string amount_figure(const Amount& amount, bool has_mm) {
  const std::string share = percent_figure(amount.percent.value);
  return has_mm ? fmt::format("{}, {}", area_figure(amount.area), share) : share;
}

std::string nothing_found_sentence(const Survey& survey) {
  return fmt::format("Nothing found in what this photo shows; {:.0f} % unseen; not a clearance.",
                     std::ceil(survey.zones.total.unseen.total_percent));
}

std::string scale_figure(const Rectification& r) {
  if (!r.px_per_mm) return "no scale: areas in % only";
  const Interval& s = *r.px_per_mm;
  return fmt::format("{} px per mm (± {:.1f} %), {}", figure(s.value),
                     100 * std::max(s.high - s.value, s.value - s.low) / s.value, way_words(r.way));
}

}  // namespace verdigrid
