#include "rectify/frame.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_deg = 180 / std::numbers::pi;

cv::Matx33d metric_homography(const Quad& corners_px) {
  const auto h = homography_from_quad({{0, 0}, {1, 0}, {1, 1}, {0, 1}},
                                      {corners_px.begin(), corners_px.end()});
  if (!h)
    throw Error(ErrorKind::bad_input,
                "The four corners make no quadrilateral; give four corners of the board, clockwise "
                "from the one seen top left.");
  return *h;
}

cv::Vec3d column(const cv::Matx33d& m, int i) { return {m(0, i), m(1, i), m(2, i)}; }

}  // namespace

cv::Matx33d turned_from_photo_px(cv::Size photo_size_px, int turn_deg) {
  const double w = photo_size_px.width - 1, h = photo_size_px.height - 1;
  switch (turn_deg) {
    case 0:
      return cv::Matx33d::eye();
    case 90:
      return {0, -1, h, 1, 0, 0, 0, 0, 1};
    case 180:
      return {-1, 0, w, 0, -1, h, 0, 0, 1};
    case 270:
      return {0, 1, 0, -1, 0, w, 0, 0, 1};
    default:
      throw Error(ErrorKind::wrong_use, "A photo is turned by 0, 90, 180 or 270 degrees.");
  }
}

Quad seen_corners(const Quad& corners_px, cv::Size photo_size_px, int turn_deg) {
  const cv::Matx33d turn = turned_from_photo_px(photo_size_px, turn_deg);
  Quad clockwise_px = corners_px;
  if (signed_area(Ring(clockwise_px.begin(), clockwise_px.end())) < 0)
    std::reverse(clockwise_px.begin(), clockwise_px.end());
  std::array<double, 4> rightward{};
  for (size_t i = 0; i < 4; ++i) {
    const cv::Point2d side =
        mapped(turn, clockwise_px[(i + 1) % 4]) - mapped(turn, clockwise_px[i]);
    rightward[i] = side.x / std::max(1e-12, std::hypot(side.x, side.y));
  }
  const auto first = std::max_element(rightward.begin(), rightward.end()) - rightward.begin();
  std::rotate(clockwise_px.begin(), clockwise_px.begin() + first, clockwise_px.end());
  return clockwise_px;
}

cv::Matx33d board_from_seen_corners(const Quad& seen_px, Side side, cv::Size2d size) {
  const double w = size.width, h = size.height;
  std::vector<cv::Point2d> board{{0, 0}, {w, 0}, {w, h}, {0, h}};
  if (side == Side::back) board = {{w, 0}, {0, 0}, {0, h}, {w, h}};
  const auto m = homography_from_quad({seen_px.begin(), seen_px.end()}, board);
  if (!m)
    throw Error(ErrorKind::bad_input,
                "The four corners make no quadrilateral; give four corners of the board, clockwise "
                "from the one seen top left.");
  return *m;
}

cv::Matx33d assumed_camera(cv::Size photo_size_px, double focal_px) {
  return {focal_px, 0,        (photo_size_px.width - 1) / 2.0,   //
          0,        focal_px, (photo_size_px.height - 1) / 2.0,  //
          0,        0,        1};
}

double assumed_focal_px(cv::Size photo_size_px) {
  constexpr double k_focal_of_long_side = 0.75;
  return k_focal_of_long_side * std::max(photo_size_px.width, photo_size_px.height);
}

double aspect_of(const Quad& corners_px, const cv::Matx33d& camera) {
  const cv::Matx33d rays = camera.inv() * metric_homography(corners_px);
  return cv::norm(column(rays, 0)) / cv::norm(column(rays, 1));
}

double tilt_deg_of(const cv::Matx33d& board_from_photo_px, const cv::Matx33d& camera) {
  const cv::Matx33d rays = camera.inv() * board_from_photo_px.inv();
  const cv::Vec3d normal = column(rays, 0).cross(column(rays, 1));
  return k_deg * std::acos(std::min(1.0, std::abs(normal[2]) / cv::norm(normal)));
}

cv::Point2d centre_of(const Ring& outline_px) {
  require(outline_px.size() >= 3, "an outline has at least three points");
  double twice = 0;
  cv::Point2d sum{};
  const cv::Point2d origin = outline_px[0];
  for (size_t i = 1; i + 1 < outline_px.size(); ++i) {
    const cv::Point2d a = outline_px[i] - origin, b = outline_px[i + 1] - origin;
    const double cross = a.cross(b);
    twice += cross;
    sum += (a + b) * (cross / 3);
  }
  if (std::abs(twice) < 1e-9) return origin;
  return origin + sum * (1 / twice);
}

}  // namespace verdigrid
