#include "rectify/rectification.h"

#include <cmath>
#include <opencv2/calib3d.hpp>

#include "base/error.h"

namespace verdigrid {

cv::Point2d distorted_px(const Lens& lens, cv::Point2d p_px) {
  const cv::Matx33d& k = lens.camera;
  const double x = (p_px.x - k(0, 2)) / k(0, 0), y = (p_px.y - k(1, 2)) / k(1, 1);
  const double k1 = lens.distortion[0], k2 = lens.distortion[1], p1 = lens.distortion[2],
               p2 = lens.distortion[3], k3 = lens.distortion[4];
  const double r2 = x * x + y * y, radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  const double xd = x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x);
  const double yd = y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y;
  return {k(0, 0) * xd + k(0, 2), k(1, 1) * yd + k(1, 2)};
}

namespace {

// |det| of the derivative of `distorted` at an ideal px: how much larger things are seen there.
double distortion_area(const Lens& lens, cv::Point2d p_px) {
  const cv::Matx33d& k = lens.camera;
  const double x = (p_px.x - k(0, 2)) / k(0, 0), y = (p_px.y - k(1, 2)) / k(1, 1);
  const double k1 = lens.distortion[0], k2 = lens.distortion[1], p1 = lens.distortion[2],
               p2 = lens.distortion[3], k3 = lens.distortion[4];
  const double r2 = x * x + y * y, radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  const double slope = k1 + r2 * (2 * k2 + r2 * 3 * k3);  // d radial / d r2
  const double xx = radial + 2 * x * x * slope + 2 * p1 * y + 6 * p2 * x;
  const double yy = radial + 2 * y * y * slope + 6 * p1 * y + 2 * p2 * x;
  const double xy = 2 * x * y * slope + 2 * p1 * x + 2 * p2 * y;  // the same both ways
  return std::abs(xx * yy - xy * xy);
}

std::vector<cv::Point2d> undistorted(const Lens& lens, const std::vector<cv::Point2d>& p_px) {
  std::vector<cv::Point2d> to;
  if (p_px.empty()) return to;
  cv::undistortPoints(p_px, to, lens.camera, lens.distortion, cv::noArray(), lens.camera,
                      cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 40, 1e-9));
  return to;
}

}  // namespace

cv::Point2d undistorted_px(const Lens& lens, cv::Point2d p_px) {
  return undistorted(lens, std::vector<cv::Point2d>{p_px})[0];
}

const char* name(ScaleWay way) {
  switch (way) {
    case ScaleWay::board_size_outline:
      return "board-size-outline";
    case ScaleWay::board_size_corners:
      return "board-size-corners";
    case ScaleWay::scale_card:
      return "scale-card";
    case ScaleWay::two_points:
      return "two-points";
    case ScaleWay::layout:
      return "layout";
    case ScaleWay::none:
      return "none";
  }
  throw Error(ErrorKind::internal,
              "Internal fault: a way of scaling has no name. Please report it.");
}

cv::Point2d board_point(const Rectification& r, cv::Point2d p_px) {
  return mapped(r.board_from_photo_px, r.lens ? undistorted_px(*r.lens, p_px) : p_px);
}

cv::Point2d photo_point(const Rectification& r, cv::Point2d p_board) {
  const cv::Point2d p = mapped(r.board_from_photo_px.inv(), p_board);
  return r.lens ? distorted_px(*r.lens, p) : p;
}

double pixel_area_board(const Rectification& r, cv::Point2d p_px) {
  if (!r.lens) return local_area_scale(r.board_from_photo_px, p_px);
  const cv::Point2d dx =
      board_point(r, p_px + cv::Point2d(0.5, 0)) - board_point(r, p_px - cv::Point2d(0.5, 0));
  const cv::Point2d dy =
      board_point(r, p_px + cv::Point2d(0, 0.5)) - board_point(r, p_px - cv::Point2d(0, 0.5));
  return std::abs(dx.cross(dy));
}

std::vector<BoardPixel> board_pixels(const Rectification& r, const std::vector<cv::Point2d>& p_px) {
  const std::vector<cv::Point2d> ideal = r.lens ? undistorted(*r.lens, p_px) : p_px;
  std::vector<BoardPixel> result(ideal.size());
  for (size_t i = 0; i < ideal.size(); ++i) {
    result[i] = {mapped(r.board_from_photo_px, ideal[i]),
                 local_area_scale(r.board_from_photo_px, ideal[i])};
    if (r.lens) result[i].area /= distortion_area(*r.lens, ideal[i]);
  }
  return result;
}

cv::Size2d board_size(const Rectification& r) { return bounding_box(r.outline_board.outer).size(); }

}  // namespace verdigrid
