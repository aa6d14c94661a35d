#include <cmath>
#include <numbers>

#include "layout/frame.h"
#include "layout/package_table.h"

namespace verdigrid {

namespace {

// Joint centres in the part's own frame, in pin order.
std::vector<cv::Point2d> joint_centres(const Package& p) {
  std::vector<cv::Point2d> out;
  const double half = p.span_mm / 2;
  const auto along = [&](int i, int count) { return (i - (count - 1) / 2.0) * p.pitch_mm; };
  switch (p.pattern) {
    case JointPattern::none:
      break;
    case JointPattern::two_ends:
      out = {{-half, 0}, {half, 0}};
      break;
    case JointPattern::left_right:
      for (int i = 0; i < p.pins / 2; ++i) out.emplace_back(-half, along(i, p.pins / 2));
      for (int i = p.pins / 2; i-- > 0;) out.emplace_back(half, along(i, p.pins / 2));
      break;
    case JointPattern::four_sides:
      for (int i = 0; i < p.pins / 4; ++i) out.emplace_back(-half, along(i, p.pins / 4));
      for (int i = 0; i < p.pins / 4; ++i) out.emplace_back(along(i, p.pins / 4), half);
      for (int i = p.pins / 4; i-- > 0;) out.emplace_back(half, along(i, p.pins / 4));
      for (int i = p.pins / 4; i-- > 0;) out.emplace_back(along(i, p.pins / 4), -half);
      break;
    case JointPattern::one_row:
      for (int i = 0; i < p.pins; ++i) out.emplace_back(along(i, p.pins), 0);
      break;
  }
  return out;
}

// A pad is about half a pitch wide; two-ended parts have no pitch, there their body counts.
double joint_diameter(const Package& p) {
  if (p.pitch_mm > 0) return p.is_through ? 1.6 : 0.5 * p.pitch_mm;
  return p.is_through ? 1.6 : std::min(p.body_mm.height, 2.0);
}

}  // namespace

Part part_of(const Package& package, cv::Point2d centre_mm, double rotation_deg, Side side) {
  Part part;
  part.kind = package.kind;
  part.package = package.name;
  part.centre = centre_mm;
  part.rotation_deg = turn_in_circle(rotation_deg);
  part.side = side;
  part.body = package.body_mm;
  part.shape = package.shape;
  part.negative_end = package.negative_end;
  int pin = 1;
  for (const cv::Point2d& p : joint_centres(package))
    part.joints.push_back({std::to_string(pin++), from_part_frame(part, p), joint_diameter(package),
                           package.is_through});
  return part;
}

}  // namespace verdigrid
