// A pinhole camera of known place above a board plane, for tests: the truth comes from projecting,
// not from the code under test.
#pragma once

#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/geometry.h"
#include "photo/photo.h"

namespace verdigrid::test {

struct KnownCamera {
  cv::Size size_px{1600, 1200};
  double focal_px = 1200;
  double distance_mm = 400;   // from the plane, along the axis
  double tilt_deg = 0;        // about the photo's x axis
  double roll_deg = 0;        // board turned in the photo, clockwise
  cv::Point2d aimed_at_mm{};  // board point in the photo's middle

  // photo px from plane mm (x right, y down as seen); `height_mm` towards the camera.
  cv::Point2d seen(cv::Point2d p_mm, double height_mm = 0) const {
    const double roll = roll_deg * std::numbers::pi / 180, tilt = tilt_deg * std::numbers::pi / 180;
    const cv::Point2d d = p_mm - aimed_at_mm;
    const double x = d.x * std::cos(roll) - d.y * std::sin(roll);
    const double y = d.x * std::sin(roll) + d.y * std::cos(roll);
    const double z = -height_mm;
    const double yc = y * std::cos(tilt) - z * std::sin(tilt);
    const double zc = y * std::sin(tilt) + z * std::cos(tilt) + distance_mm;
    return {focal_px * x / zc + (size_px.width - 1) / 2.0,
            focal_px * yc / zc + (size_px.height - 1) / 2.0};
  }

  Ring seen(const Ring& ring_mm, double height_mm = 0) const {
    Ring ring;
    for (const cv::Point2d p : ring_mm) ring.push_back(seen(p, height_mm));
    return ring;
  }

  double px_per_mm() const { return focal_px / distance_mm; }
};

inline Ring rectangle_mm(double width, double height) {
  return {{0, 0}, {width, 0}, {width, height}, {0, height}};
}

// A filled polygon with smooth edges.
inline void fill(cv::Mat& bgr, const Ring& ring_px, const cv::Scalar& colour) {
  constexpr int k_bits = 8;
  std::vector<cv::Point> points;
  for (const cv::Point2d p : ring_px)
    points.emplace_back(static_cast<int>(std::lround(p.x * (1 << k_bits))),
                        static_cast<int>(std::lround(p.y * (1 << k_bits))));
  cv::fillPoly(bgr, std::vector<std::vector<cv::Point>>{points}, colour, cv::LINE_AA, k_bits);
}

inline Photo plain_photo(cv::Size size, const cv::Scalar& colour) {
  Photo photo;
  photo.bgr = cv::Mat(size, CV_8UC3, colour);
  photo.meta.name = "drawn.png";
  return photo;
}

}  // namespace verdigrid::test
