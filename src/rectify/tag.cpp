#include "rectify/tag.h"

#include <algorithm>
#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_reading_long_side_px = 1600;
constexpr int k_ids = 1000;
constexpr double k_size_ratio = 1.3, k_gap_in_sides = 2.0, k_off_row_in_sides = 0.35;

cv::Ptr<cv::aruco::Dictionary> tag_dictionary() {
  return cv::aruco::getPredefinedDictionary(cv::aruco::DICT_6X6_1000);
}

struct Seen {
  int id;
  cv::Point2d middle, right;  // right: along the marker's own upper edge, one side long
  double side() const { return cv::norm(right); }
};

std::vector<Seen> markers_in(const Photo& photo) {
  const double scale =
      std::min(1.0, double(k_reading_long_side_px) / std::max(photo.bgr.cols, photo.bgr.rows));
  cv::Mat grey, small;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  cv::resize(grey, small, {}, scale, scale, cv::INTER_AREA);
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(small, tag_dictionary(), corners, ids);
  std::vector<Seen> seen;
  for (size_t i = 0; i < ids.size(); ++i) {
    const auto& c = corners[i];
    const cv::Point2f middle = (c[0] + c[1] + c[2] + c[3]) / 4,
                      right = (c[1] - c[0] + c[2] - c[3]) / 2;
    seen.push_back({ids[i], middle, right});
  }
  return seen;
}

// Whether b stands right of a, at the distance and on the line that a tag has.
bool is_next(const Seen& a, const Seen& b) {
  const double ratio = a.side() / b.side();
  if (ratio > k_size_ratio || ratio < 1 / k_size_ratio) return false;
  const cv::Point2d unit = a.right / a.side(), step = b.middle - a.middle;
  const double along = step.dot(unit) / a.side(), off = std::abs(step.cross(unit)) / a.side();
  return along > 1 && along < k_gap_in_sides && off < k_off_row_in_sides;
}

}  // namespace

std::vector<bool> tag_marker_cells(int id) {
  require(id >= 0 && id < k_ids, "a tag's markers have ids from 0 to 999");
  cv::Mat picture;
  cv::aruco::drawMarker(tag_dictionary(), id, k_tag_marker_cells, picture, 1);
  std::vector<bool> black;
  for (int y = 0; y < k_tag_marker_cells; ++y)
    for (int x = 0; x < k_tag_marker_cells; ++x) black.push_back(picture.at<uchar>(y, x) < 128);
  return black;
}

TagReading read_tag(const Photo& photo) {
  const std::vector<Seen> seen = markers_in(photo);
  if (seen.empty()) return {};
  TagReading found{TagSight::unclear, {}};
  int rows = 0;
  for (const Seen& a : seen)
    for (const Seen& b : seen)
      for (const Seen& c : seen)
        if (is_next(a, b) && is_next(b, c)) ++rows, found.code = {a.id * k_ids + b.id, c.id};
  if (rows == 1 && seen.size() == 3)
    found.sight = TagSight::clear;
  else
    found.code = {};
  return found;
}

}  // namespace verdigrid
