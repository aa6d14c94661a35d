#include "rectify/card_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "rectify/card_layout.h"

namespace verdigrid {

namespace {

// Markers are found on a reduced picture and their corners followed in the full one.
constexpr int k_reading_long_side_px = 2000;

void check_range(const std::optional<double>& value, double low, double high, const char* what) {
  if (value && !(*value >= low && *value <= high))
    throw Error(ErrorKind::wrong_use, fmt::format("{}: {:g} mm is not between {:g} and {:g} mm.",
                                                  what, *value, low, high));
}

const CardMarker* card_marker(const CardLayout& card, int id) {
  for (const CardMarker& marker : card.markers)
    if (marker.id == id) return &marker;
  return nullptr;
}

// Corner positions in full-size px to sub-pixel, within a window of the reduction's error.
void refine(const cv::Mat& grey, std::vector<cv::Point2f>& corners_px, double scale) {
  const double side_px = cv::norm(corners_px[1] - corners_px[0]);
  const int half =
      std::clamp(static_cast<int>(std::lround(std::min(2.5 * scale, side_px / 12))), 2, 12);
  cv::cornerSubPix(grey, corners_px, {half, half}, {-1, -1},
                   cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 40, 0.005));
}

}  // namespace

void CardUse::check() const {
  check_range(measured_bar_mm, 80, 120, "Measured length of the card's 100 mm bar");
  check_range(height_mm, -200, 200, "Height of the board above the card");
  check_range(camera_distance_mm, 50, 5000, "Camera distance");
}

Polygon card_outline_px(const CardReading& card) {
  const cv::Mat h = cv::findHomography(card.corners_mm, card.corners_px, 0);
  if (h.empty()) return {};
  const cv::Size2d size = card_layout().size_mm;
  const Ring edge_mm{{0, 0}, {size.width, 0}, {size.width, size.height}, {0, size.height}};
  return {clockwise(mapped(cv::Matx33d(h), edge_mm)), {}};
}

std::optional<CardReading> find_card(const Photo& photo, const Work& work) {
  work.check();
  cv::Mat grey, small;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  const double scale =
      std::max(1.0, std::max(grey.cols, grey.rows) / static_cast<double>(k_reading_long_side_px));
  if (scale > 1)
    cv::resize(grey, small, {}, 1 / scale, 1 / scale, cv::INTER_AREA);
  else
    small = grey;
  work.check();
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_4X4_50);
  const auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_SUBPIX;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(small, dictionary, corners, ids, parameters);
  const CardLayout card = card_layout();
  CardReading reading;
  for (size_t i = 0; i < ids.size(); ++i) {
    const CardMarker* marker = card_marker(card, ids[i]);
    if (!marker) continue;
    if (std::find(reading.ids.begin(), reading.ids.end(), ids[i]) != reading.ids.end())
      throw Error(ErrorKind::no_result,
                  fmt::format("Marker {} of the scale card is seen twice; leave one card in view.",
                              ids[i]));
    std::vector<cv::Point2f> full;
    for (const cv::Point2f p : corners[i])
      full.push_back((p + cv::Point2f(0.5F, 0.5F)) * static_cast<float>(scale) -
                     cv::Point2f(0.5F, 0.5F));
    refine(grey, full, scale);
    reading.ids.push_back(ids[i]);
    reading.corners_px.insert(reading.corners_px.end(), full.begin(), full.end());
    const cv::Rect2d& s = marker->square_mm;
    const cv::Point2d across(s.width, 0), down(0, s.height);
    for (const cv::Point2d corner : {s.tl(), s.tl() + across, s.br(), s.tl() + down})
      reading.corners_mm.push_back(corner);
  }
  if (reading.ids.size() < 2) return std::nullopt;
  return reading;
}

}  // namespace verdigrid
