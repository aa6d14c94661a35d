#include "cli/values.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>

#include "base/error.h"

namespace verdigrid {

namespace {

std::optional<double> number(std::string_view text) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, value);
  if (read.ec != std::errc() || read.ptr != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

[[noreturn]] void refuse(const std::string& option, const std::string& wanted,
                         const std::string& text) {
  throw Error(ErrorKind::wrong_use, fmt::format("{} wants {}, not \"{}\".", option, wanted, text));
}

// The numbers on both sides of the one separator.
std::optional<std::pair<double, double>> pair_of(std::string_view text,
                                                 std::string_view separators) {
  const size_t at = text.find_first_of(separators);
  if (at == std::string_view::npos) return std::nullopt;
  const auto a = number(text.substr(0, at)), b = number(text.substr(at + 1));
  if (!a || !b) return std::nullopt;
  return std::pair{*a, *b};
}

}  // namespace

double number_from(const std::string& option, const std::string& text) {
  const auto value = number(text);
  if (!value) refuse(option, "a number with a decimal point, like 12.5", text);
  return *value;
}

cv::Size2d size_from(const std::string& option, const std::string& text) {
  const auto size = pair_of(text, "xX");
  if (!size || size->first <= 0 || size->second <= 0)
    refuse(option, "width x height, like 160x99.1", text);
  return {size->first, size->second};
}

cv::Size whole_size_from(const std::string& option, const std::string& text) {
  constexpr double k_limit = 1000;
  const auto size = pair_of(text, "xX");
  const auto is_count = [](double v) { return v >= 1 && v <= k_limit && v == std::floor(v); };
  if (!size || !is_count(size->first) || !is_count(size->second))
    refuse(option, "two whole numbers, like 9x6", text);
  return {static_cast<int>(size->first), static_cast<int>(size->second)};
}

cv::Point2d point_from(const std::string& option, const std::string& text) {
  const auto point = pair_of(text, ",");
  if (!point) refuse(option, "points as x,y in photo pixels, like 812,40", text);
  return {point->first, point->second};
}

std::vector<cv::Point2d> points_from(const std::string& option,
                                     const std::vector<std::string>& texts) {
  std::vector<cv::Point2d> points;
  for (const std::string& text : texts) points.push_back(point_from(option, text));
  return points;
}

}  // namespace verdigrid
