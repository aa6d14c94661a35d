#include "detect/part_looks.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/working_image.h"

namespace verdigrid {

namespace {

// Limits of our own, set on rendered boards. Lightness and chroma are Lab, 0..100 and up.
constexpr double k_most_lightness = 52, k_most_chroma = 14;
constexpr double k_own_chroma_share = 0.6;  // a body has at most that share of the board's chroma
constexpr double k_own_lightness_share = 0.6;  // the same of lightness, where the board is grey
constexpr double k_least_side_mm = 3;          // shorter side of a body
constexpr double k_least_side_share = 0.013;   // the same without a scale, of the diagonal
constexpr double k_most_board_share = 0.12;    // a body is at most that share of the board
constexpr double k_least_fill = 0.8;           // region over its smallest rectangle
constexpr double k_least_side_px = 4;          // of the working picture

// A board with less chroma is grey; one that is dark as well looks like the bodies on it.
constexpr double k_least_own_chroma = 10, k_least_own_lightness = 55;

struct Darkness {
  double lightness = 0, chroma = 0;  // a body stays below both
};

Darkness darkness_on(const Lab& own) {
  if (chroma(own) >= k_least_own_chroma)
    return {k_most_lightness, std::min(k_most_chroma, k_own_chroma_share * chroma(own))};
  return {std::min(k_most_lightness, k_own_lightness_share * own.L), k_most_chroma};
}

double least_side_px(const WorkingImage& image) {
  return std::max(k_least_side_px, image.px_per_mm ? k_least_side_mm * *image.px_per_mm
                                                   : k_least_side_share * image.diagonal_px);
}

cv::Mat dark_px(const WorkingImage& image) {
  const Darkness limit = darkness_on(image.own_mask);
  cv::Mat dark(image.lab.size(), CV_8UC1, cv::Scalar(0));
  for (int y = 0; y < dark.rows; ++y) {
    const auto* lab = image.lab.ptr<cv::Vec3f>(y);
    const auto* board = image.board.ptr<std::uint8_t>(y);
    auto* to = dark.ptr<std::uint8_t>(y);
    for (int x = 0; x < dark.cols; ++x)
      to[x] =
          board[x] && lab[x][0] < limit.lightness && std::hypot(lab[x][1], lab[x][2]) < limit.chroma
              ? 255
              : 0;
  }
  return dark;
}

cv::Mat disc(double diameter_px) {
  const int d = std::max(3, static_cast<int>(std::lround(diameter_px)) | 1);
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {d, d});
}

// Printing on bodies is filled in; legs, traces and shadows narrower than a third of a
// body go.
cv::Mat bodies_of(const cv::Mat& dark, double least_side) {
  cv::Mat bodies;
  cv::morphologyEx(dark, bodies, cv::MORPH_CLOSE, disc(least_side / 5));
  cv::morphologyEx(bodies, bodies, cv::MORPH_OPEN, disc(least_side / 1.5));
  return bodies;
}

// Corner order of a cv::RotatedRect is clockwise with y down.
Ring in_photo_px(const cv::RotatedRect& rect, int factor) {
  cv::Point2f corners[4];
  rect.points(corners);
  Ring ring;
  for (const cv::Point2f& c : corners)
    ring.push_back(cv::Point2d(c) * factor + cv::Point2d(0.5, 0.5) * (factor - 1));
  return ring;
}

bool is_body(const std::vector<cv::Point>& contour, const cv::RotatedRect& box, double least_side,
             double board_px) {
  // Contours run through pixel centres: the region is half a pixel larger on each side.
  const double width = box.size.width + 1, height = box.size.height + 1;
  const double px = cv::contourArea(contour) + cv::arcLength(contour, true) / 2 + 1;
  return std::min(width, height) >= least_side && width * height <= k_most_board_share * board_px &&
         px >= k_least_fill * width * height;
}

}  // namespace

PartLooks part_looks(const Photo& photo, const Rectification& rectification) {
  const WorkingImage image = working_image(photo, rectification);
  PartLooks looks;
  looks.is_told_apart =
      image.own_mask.L >= k_least_own_lightness || chroma(image.own_mask) >= k_least_own_chroma;
  if (!looks.is_told_apart) return looks;
  const double least_side = least_side_px(image);
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(bodies_of(dark_px(image), least_side), contours, cv::RETR_EXTERNAL,
                   cv::CHAIN_APPROX_NONE);
  std::vector<cv::RotatedRect> boxes;
  for (const auto& contour : contours) {
    const cv::RotatedRect box = cv::minAreaRect(contour);
    if (is_body(contour, box, least_side, static_cast<double>(image.board_px)))
      boxes.push_back(box);
  }
  std::stable_sort(boxes.begin(), boxes.end(),
                   [](const auto& a, const auto& b) { return a.size.area() > b.size.area(); });
  for (const cv::RotatedRect& box : boxes)
    looks.bodies_px.push_back(in_photo_px(box, image.factor));
  return looks;
}

}  // namespace verdigrid
