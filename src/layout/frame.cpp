#include "layout/frame.h"

#include <cmath>
#include <numbers>

namespace verdigrid {

namespace {
double radians(double angle_deg) { return angle_deg * std::numbers::pi / 180; }
}  // namespace

cv::Point2d from_part_frame(const Part& part, cv::Point2d p) {
  if (part.side == Side::back) p.x = -p.x;
  const double c = std::cos(radians(part.rotation_deg)), s = std::sin(radians(part.rotation_deg));
  return {part.centre.x + c * p.x + s * p.y, part.centre.y - s * p.x + c * p.y};
}

cv::Point2d to_part_frame(const Part& part, cv::Point2d p_board) {
  const cv::Point2d d = p_board - part.centre;
  const double c = std::cos(radians(part.rotation_deg)), s = std::sin(radians(part.rotation_deg));
  cv::Point2d p{c * d.x - s * d.y, s * d.x + c * d.y};
  if (part.side == Side::back) p.x = -p.x;
  return p;
}

double turn_in_circle(double angle_deg) {
  double a = std::fmod(angle_deg, 360.0);
  if (a < 0) a += 360;
  return a >= 360 ? 0 : a;  // a tiny negative angle rounds up to 360
}

}  // namespace verdigrid
