#include "rectify/main_sides.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "rectify/frame.h"

namespace verdigrid {

namespace {

struct Line {
  cv::Point2d at, along;  // along: unit, clockwise
  double length = 0;
};

// Corners between sides of a rectangle seen from above stay within these angles at 35 degrees of
// tilt.
constexpr double k_least_corner_deg = 55, k_most_corner_deg = 125;
constexpr int k_most_candidates = 18;

std::optional<cv::Point2d> crossing(const Line& a, const Line& b) {
  const double det = a.along.cross(b.along);
  if (std::abs(det) < 1e-9) return std::nullopt;
  return a.at + a.along * ((b.at - a.at).cross(b.along) / det);
}

bool is_corner(const Line& a, const Line& b) {
  const double turn_deg =
      std::atan2(a.along.cross(b.along), a.along.dot(b.along)) * 180 / std::numbers::pi;
  return turn_deg > 180 - k_most_corner_deg && turn_deg < 180 - k_least_corner_deg;
}

// Hull edges, nearly straight neighbours joined; the longest ones, in hull order.
std::vector<Line> hull_lines(const Ring& outline_px) {
  std::vector<cv::Point2f> points(outline_px.begin(), outline_px.end()), hull, simple;
  cv::convexHull(points, hull, true);
  if (hull.size() < 4) return {};
  const double size = std::sqrt(std::max(1.0, cv::contourArea(hull)));
  cv::approxPolyDP(hull, simple, 0.004 * size, true);
  Ring ring(simple.begin(), simple.end());
  ring = clockwise(ring);
  std::vector<Line> lines;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d step = ring[(i + 1) % ring.size()] - ring[i];
    const double length = std::hypot(step.x, step.y);
    if (length > 0.08 * size) lines.push_back({ring[i], step * (1 / length), length});
  }
  while (lines.size() > k_most_candidates)
    lines.erase(std::min_element(lines.begin(), lines.end(),
                                 [](const Line& a, const Line& b) { return a.length < b.length; }));
  // Pushed outwards until the whole hull lies inside.
  for (Line& line : lines) {
    double outside = 0;
    for (const cv::Point2f& p : hull)
      outside = std::max(outside, -line.along.cross(cv::Point2d(p) - line.at));
    line.at += cv::Point2d(line.along.y, -line.along.x) * outside;
  }
  return lines;
}

}  // namespace

std::optional<Quad> main_sides(const Ring& outline_px) {
  if (outline_px.size() < 4) return std::nullopt;
  const std::vector<Line> lines = hull_lines(outline_px);
  const size_t n = lines.size();
  std::optional<Quad> best;
  double best_cost = std::numeric_limits<double>::max();
  for (size_t a = 0; a < n; ++a)
    for (size_t b = a + 1; b < n; ++b) {
      if (!is_corner(lines[a], lines[b])) continue;
      for (size_t c = b + 1; c < n; ++c) {
        if (!is_corner(lines[b], lines[c])) continue;
        for (size_t d = c + 1; d < n; ++d) {
          if (!is_corner(lines[c], lines[d]) || !is_corner(lines[d], lines[a])) continue;
          const auto p = crossing(lines[d], lines[a]), q = crossing(lines[a], lines[b]),
                     r = crossing(lines[b], lines[c]), s = crossing(lines[c], lines[d]);
          if (!p || !q || !r || !s) continue;
          // Smallest around the outline; among nearly equal ones the one on longer edges.
          const double covered =
              lines[a].length + lines[b].length + lines[c].length + lines[d].length;
          const double quad_area = signed_area({*p, *q, *r, *s});
          const double cost = quad_area / std::sqrt(covered);
          if (quad_area > 0 && cost < best_cost) {
            best_cost = cost;
            best = Quad{*p, *q, *r, *s};
          }
        }
      }
    }
  if (!best) return std::nullopt;
  return seen_corners(*best, {}, 0);
}

}  // namespace verdigrid
