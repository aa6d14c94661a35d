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
  double length = 0;      // of the straight runs on it
};

// Corners between sides of a rectangle seen from above stay within these angles at 35 degrees of
// tilt.
constexpr double k_least_corner_deg = 55, k_most_corner_deg = 125;
constexpr size_t k_most_candidates = 16;
// Outline outside the quadrilateral counts this much more than empty corners inside it: a connector
// tongue over a quarter of a side belongs to the board's size.
constexpr double k_outside_weight = 3.5;

std::optional<cv::Point2d> crossing(const Line& a, const Line& b) {
  const double det = a.along.cross(b.along);
  if (std::abs(det) < 1e-9) return std::nullopt;
  return a.at + a.along * ((b.at - a.at).cross(b.along) / det);
}

double angle_deg(cv::Point2d from, cv::Point2d to) {
  return std::atan2(from.cross(to), from.dot(to)) * 180 / std::numbers::pi;
}

bool is_corner(const Line& a, const Line& b) {
  const double turn_deg = angle_deg(a.along, b.along);
  return turn_deg > 180 - k_most_corner_deg && turn_deg < 180 - k_least_corner_deg;
}

// Straight runs of the outline; runs on one line are one side, interrupted by a notch or a plug.
std::vector<Line> straight_lines(const Ring& ring, double size) {
  const std::vector<cv::Point2f> points(ring.begin(), ring.end());
  std::vector<cv::Point2f> simple;
  cv::approxPolyDP(points, simple, 0.004 * size, true);
  std::vector<Line> runs;
  for (size_t i = 0; i < simple.size(); ++i) {
    const cv::Point2d from = simple[i], step = cv::Point2d(simple[(i + 1) % simple.size()]) - from;
    const double length = std::hypot(step.x, step.y);
    if (length > 0.04 * size) runs.push_back({from + step * 0.5, step * (1 / length), length});
  }
  std::sort(runs.begin(), runs.end(),
            [](const Line& a, const Line& b) { return a.length > b.length; });
  std::vector<Line> lines;
  for (const Line& run : runs) {
    const auto same = std::find_if(lines.begin(), lines.end(), [&](const Line& line) {
      return std::abs(angle_deg(line.along, run.along)) < 3 &&
             std::abs(line.along.cross(run.at - line.at)) < 0.008 * size;
    });
    if (same == lines.end()) {
      lines.push_back(run);
      continue;
    }
    // Through the middles of both runs where they lie apart, which is surer than either alone.
    const cv::Point2d between = run.at - same->at;
    if (std::abs(between.dot(same->along)) > same->length / 2 + run.length / 2) {
      const double way = between.dot(same->along) > 0 ? 1 : -1;
      same->along = between * (way / std::hypot(between.x, between.y));
    }
    same->length += run.length;
  }
  std::sort(lines.begin(), lines.end(),
            [](const Line& a, const Line& b) { return a.length > b.length; });
  if (lines.size() > k_most_candidates) lines.resize(k_most_candidates);
  std::sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) {
    return std::atan2(a.along.y, a.along.x) < std::atan2(b.along.y, b.along.x);
  });
  return lines;
}

// Part of the ring inside a convex quadrilateral.
double area_inside(const Ring& ring, const Quad& quad) {
  Ring kept = ring;
  for (size_t i = 0; i < 4 && kept.size() > 2; ++i) {
    const cv::Point2d at = quad[i], along = quad[(i + 1) % 4] - quad[i];
    Ring next;
    for (size_t k = 0; k < kept.size(); ++k) {
      const cv::Point2d a = kept[k], b = kept[(k + 1) % kept.size()];
      const double da = along.cross(a - at), db = along.cross(b - at);
      if (da >= 0) next.push_back(a);
      if ((da < 0) != (db < 0)) next.push_back(a + (b - a) * (da / (da - db)));
    }
    kept = std::move(next);
  }
  return kept.size() > 2 ? std::abs(signed_area(kept)) : 0;
}

struct Fit {
  Quad quad;
  double cost = std::numeric_limits<double>::max();
};

void try_sides(const Ring& ring, double ring_area, double length, const std::array<Line, 4>& sides,
               Fit& best) {
  Quad quad;
  double covered = 0;
  for (size_t i = 0; i < 4; ++i) {
    const Line &before = sides[(i + 3) % 4], &side = sides[i];
    if (!is_corner(before, side)) return;
    const auto corner = crossing(before, side);
    if (!corner) return;
    quad[i] = *corner;
    covered += side.length;
  }
  const double quad_area = signed_area({quad.begin(), quad.end()});
  if (!(quad_area > 0) || quad_area > 3 * ring_area) return;
  const double inside = area_inside(ring, quad);
  const double cost = (quad_area - inside + k_outside_weight * (ring_area - inside)) / ring_area -
                      0.1 * covered / length;
  if (cost < best.cost) best = {quad, cost};
}

}  // namespace

std::optional<Quad> main_sides(const Ring& outline_px) {
  if (outline_px.size() < 4) return std::nullopt;
  const Ring ring = clockwise(outline_px);
  const double ring_area = signed_area(ring);
  if (!(ring_area > 1)) return std::nullopt;
  double length = 0;
  for (size_t i = 0; i < ring.size(); ++i)
    length += cv::norm(ring[(i + 1) % ring.size()] - ring[i]);
  const std::vector<Line> lines = straight_lines(ring, std::sqrt(ring_area));
  const size_t n = lines.size();
  Fit best;
  for (size_t a = 0; a < n; ++a)
    for (size_t b = a + 1; b < n; ++b)
      for (size_t c = b + 1; c < n; ++c)
        for (size_t d = c + 1; d < n; ++d)
          try_sides(ring, ring_area, length, {lines[a], lines[b], lines[c], lines[d]}, best);
  constexpr double k_most_cost = 0.6;  // beyond it the outline is no board with four sides
  if (best.cost > k_most_cost) return std::nullopt;
  return seen_corners(best.quad, {}, 0);
}

}  // namespace verdigrid
