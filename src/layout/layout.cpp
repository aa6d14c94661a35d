#include "layout/layout.h"

#include <cmath>
#include <numbers>

#include "base/error.h"
#include "layout/frame.h"
#include "layout/words.h"

namespace verdigrid {

namespace {

constexpr int k_round_corners = 24;

// Radius of the regular polygon that has the circle's area.
double corner_radius(double diameter) {
  const double step = 2 * std::numbers::pi / k_round_corners;
  return diameter / 2 * std::sqrt(step / std::sin(step));
}

void widen(cv::Rect2d& box, bool& is_first, cv::Point2d p) {
  if (is_first) {
    box = {p.x, p.y, 0, 0};
    is_first = false;
    return;
  }
  const double x1 = std::max(box.x + box.width, p.x), y1 = std::max(box.y + box.height, p.y);
  box.x = std::min(box.x, p.x);
  box.y = std::min(box.y, p.y);
  box.width = x1 - box.x;
  box.height = y1 - box.y;
}

}  // namespace

Ring body_ring(const Part& part) {
  if (!part.has_body()) return {};
  Ring ring;
  if (part.shape == BodyShape::round) {
    const double r = corner_radius(part.body.width);
    for (int i = 0; i < k_round_corners; ++i) {
      const double a = 2 * std::numbers::pi * i / k_round_corners;
      ring.push_back(from_part_frame(part, {r * std::cos(a), r * std::sin(a)}));
    }
  } else {
    const double x = part.body.width / 2, y = part.body.height / 2;
    for (const cv::Point2d& p : {cv::Point2d{-x, -y}, {x, -y}, {x, y}, {-x, y}})
      ring.push_back(from_part_frame(part, p));
  }
  return clockwise(std::move(ring));
}

std::optional<cv::Point2d> negative_end_point(const Part& part) {
  const double x = part.body.width / 2, y = part.body.height / 2;
  switch (part.negative_end) {
    case NegativeEnd::unknown:
      return std::nullopt;
    case NegativeEnd::left:
      return from_part_frame(part, {-x, 0});
    case NegativeEnd::right:
      return from_part_frame(part, {x, 0});
    case NegativeEnd::up:
      return from_part_frame(part, {0, -y});
    case NegativeEnd::down:
      return from_part_frame(part, {0, y});
  }
  return std::nullopt;
}

Layout layout_over(const Polygon& outline, bool has_mm) {
  require(!outline.empty() && area(outline) > 0, "a layout needs an outline with an area");
  Layout layout;
  layout.has_mm = has_mm;
  layout.outline = outline;
  layout.grid = grid_over(bounding_box(outline.outer), has_mm);
  return layout;
}

cv::Rect2d layout_box(const Layout& layout) {
  cv::Rect2d box;
  bool is_first = true;
  for (const cv::Point2d& p : layout.outline.outer) widen(box, is_first, p);
  for (const Zone& zone : layout.zones)
    for (const cv::Point2d& p : zone.polygon.outer) widen(box, is_first, p);
  for (const Part& part : layout.parts) {
    widen(box, is_first, part.centre);
    for (const cv::Point2d& p : body_ring(part)) widen(box, is_first, p);
  }
  for (const Hole& hole : layout.holes) widen(box, is_first, hole.centre);
  return box;
}

}  // namespace verdigrid
