#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "photo/check_items.h"
#include "photo/focus.h"

namespace verdigrid {

namespace {

// Sampling efficiency 0.70 is the limit of ISO 19264-1:2021 level C and of FADGI 2023 two stars.
// Half of it is the lowest at which fine marks are still told from their surroundings.
constexpr double k_good_efficiency = 0.70, k_usable_efficiency = 0.35;
constexpr const char* k_source =
    "good: ISO 19264-1:2021 level C, sampling efficiency; usable: common practice, no source";
// With a scale, what counts is how many sharp px lie across the smallest feature: see "resolution".
constexpr double k_good_feature_px = 5, k_usable_feature_px = 3;
constexpr size_t k_least_tiles = 2;
// A region is named when it keeps less than this share of the detail that the whole keeps.
constexpr double k_standing_out = 0.75;

struct Limits {
  double good = k_good_efficiency, usable = k_usable_efficiency;
};

Limits limits_for(const PhotoCheckOptions& options) {
  Limits limits;
  if (!options.px_per_mm) return limits;
  const double feature_px = options.feature_mm * *options.px_per_mm;
  limits.good = std::min(limits.good, k_good_feature_px / feature_px);
  limits.usable = std::min(limits.usable, k_usable_feature_px / feature_px);
  return limits;
}

float median(std::vector<float> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

struct Tiles {
  std::vector<float> all;                     // widths of the judged tiles
  std::array<std::vector<float>, 9> regions;  // the same by thirds of the judged box
};

// A tile is judged when at least half of it lies in the judged part.
bool is_judged(const CheckView& view, const cv::Rect& tile_px) {
  const cv::Rect frame(0, 0, view.judged.cols, view.judged.rows);
  const int r = view.reduction;
  const cv::Rect small = cv::Rect(tile_px.x / r, tile_px.y / r, std::max(1, tile_px.width / r),
                                  std::max(1, tile_px.height / r)) &
                         frame;
  return !small.empty() && 2 * cv::countNonZero(view.judged(small)) >= small.area();
}

size_t region_of(cv::Point2d at, const cv::Rect& box) {
  const int column = std::clamp(static_cast<int>(3 * (at.x - box.x) / box.width), 0, 2);
  const int row = std::clamp(static_cast<int>(3 * (at.y - box.y) / box.height), 0, 2);
  return static_cast<size_t>(3 * row + column);
}

cv::Rect judged_box_px(const CheckView& view) {
  const cv::Rect small = cv::boundingRect(view.judged);
  const int r = view.reduction;
  return {small.x * r, small.y * r, small.width * r, small.height * r};
}

// Keeps the widths of judged tiles and sets the others to 0.
Tiles judged_tiles(const CheckView& view, FocusMap& map) {
  Tiles tiles;
  const cv::Rect box = judged_box_px(view);
  for (int y = 0; y < map.sigma_px.rows; ++y)
    for (int x = 0; x < map.sigma_px.cols; ++x) {
      const cv::Rect tile(x * map.tile_px, y * map.tile_px, map.tile_px, map.tile_px);
      float& sigma = map.sigma_px.at<float>(y, x);
      if (sigma > 0 && !is_judged(view, tile)) sigma = 0;
      if (sigma <= 0) continue;
      tiles.all.push_back(sigma);
      const cv::Point2d middle(tile.x + tile.width / 2.0, tile.y + tile.height / 2.0);
      tiles.regions[region_of(middle, box)].push_back(sigma);
    }
  return tiles;
}

// Tiles without edges take the word of the judged ones around them.
cv::Mat blurred_tiles(const FocusMap& map, double usable_efficiency) {
  cv::Mat out(map.sigma_px.size(), CV_8UC1, cv::Scalar(0));
  const cv::Rect frame(0, 0, out.cols, out.rows);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x) {
      const bool is_seen = map.sigma_px.at<float>(y, x) > 0;
      const cv::Rect around =
          (is_seen ? cv::Rect(x, y, 1, 1) : cv::Rect(x - 1, y - 1, 3, 3)) & frame;
      int soft = 0, judged = 0;
      for (const float sigma : cv::Mat_<float>(map.sigma_px(around).clone())) {
        if (sigma <= 0) continue;
        ++judged;
        if (sampling_efficiency(sigma) < usable_efficiency) ++soft;
      }
      if (judged > 0 && 2 * soft > judged) out.at<uchar>(y, x) = 255;
    }
  return out;
}

cv::Mat spread_over_view(const cv::Mat& tiles, const CheckView& view, int tile_px) {
  cv::Mat out(view.bgr.size(), CV_8UC1);
  for (int y = 0; y < out.rows; ++y) {
    const uchar* from = tiles.ptr(std::min(tiles.rows - 1, y * view.reduction / tile_px));
    uchar* to = out.ptr(y);
    for (int x = 0; x < out.cols; ++x)
      to[x] = from[std::min(tiles.cols - 1, x * view.reduction / tile_px)];
  }
  return out;
}

struct SoftRegion {
  int index = -1;  // of nine; -1: none
  double efficiency = 1;
};

SoftRegion softest_region(const Tiles& tiles) {
  SoftRegion softest;
  for (size_t i = 0; i < tiles.regions.size(); ++i) {
    if (tiles.regions[i].size() < k_least_tiles) continue;
    const double efficiency = sampling_efficiency(median(tiles.regions[i]));
    if (efficiency < softest.efficiency) softest = {static_cast<int>(i), efficiency};
  }
  return softest;
}

std::string region_name(int index) {
  return place_in_frame({index % 3 + 0.5, index / 3 + 0.5}, {3, 3});
}

std::string sentence(const CheckItem& item, const SoftRegion& softest) {
  const std::string seen = fmt::format(
      "edges are rendered with {:.0f} % of the detail that its pixels could carry", item.figure);
  if (item.verdict == Verdict::reshoot)
    return fmt::format(
        "The photo is out of focus or shaken: {}; focus on the board, rest the camera, and use "
        "more "
        "light.",
        seen);
  const bool stands_out = 100 * softest.efficiency < k_standing_out * item.figure;
  if (softest.index >= 0 && stands_out && 100 * softest.efficiency < item.usable_limit)
    return fmt::format(
        "The {} is soft ({:.0f} %) while the rest is sharper ({:.0f} %): hold the camera parallel "
        "to the board, step back a little, or close the aperture to f/8.",
        region_name(softest.index), 100 * softest.efficiency, item.figure);
  if (item.verdict == Verdict::usable)
    return fmt::format("A little soft: {}; rest the camera and focus on the board's surface.",
                       seen);
  return fmt::format("Sharp: {}.", seen);
}

}  // namespace

FocusResult focus_item(const CheckView& view, const PhotoCheckOptions& options, const Work& work) {
  const Limits limits = limits_for(options);
  FocusResult out;
  out.item = {.id = "focus",
              .unit = "% sampling efficiency",
              .good_limit = 100 * limits.good,
              .usable_limit = 100 * limits.usable,
              .source = k_source};
  FocusMap map = focus_map(view.photo.bgr, work);
  const Tiles tiles = judged_tiles(view, map);
  if (tiles.all.empty()) {
    out.blurred = cv::Mat(view.bgr.size(), CV_8UC1, cv::Scalar(0));
    out.item.sentence =
        "No edge is sharp or strong enough to judge the focus by: if this photo shows a board, it "
        "is out of focus or far too dark.";
    return out;
  }
  const SoftRegion softest = softest_region(tiles);
  out.item.figure = 100 * sampling_efficiency(median(tiles.all));
  out.item.verdict = verdict_above(out.item.figure, out.item.good_limit, out.item.usable_limit);
  if (out.item.verdict == Verdict::good && softest.efficiency < limits.usable)
    out.item.verdict = Verdict::usable;
  out.item.sentence = sentence(out.item, softest);
  out.blurred = spread_over_view(blurred_tiles(map, limits.usable), view, map.tile_px);
  return out;
}

}  // namespace verdigrid
