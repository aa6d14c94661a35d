// Bites out of an outline where a part of the background's colour hides the board's edge: the edge
// itself goes straight on.
#include <algorithm>
#include <cmath>

#include "rectify/main_sides.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

constexpr double k_on_side_px = 2.5;
constexpr double k_longest_bridge = 0.5;  // of the side
constexpr double k_least_seen = 0.75;     // of the bridge's length with a clear edge
constexpr float k_clear_step = 8;         // Lab

double seen_edge_share(const cv::Mat& lab, cv::Point2d from, cv::Point2d to) {
  const cv::Point2d along = to - from;
  const double length = cv::norm(along);
  const cv::Point2d unit = along * (1 / length), outwards(unit.y, -unit.x);
  int seen = 0, all = 0;
  for (double s = 1; s < length; s += 2, ++all)
    seen += edge_step(lab, from + unit * s, outwards) > k_clear_step;
  return all > 0 ? seen / static_cast<double>(all) : 0;
}

struct Side {
  cv::Point2d at, unit;
  double length;
};

// Index of the next point after `from` that lies on the side again; n when none does soon enough.
size_t back_on_side(const Ring& ring, size_t from, const Side& side) {
  const size_t n = ring.size();
  for (size_t k = 1; k < n / 2; ++k) {
    const cv::Point2d d = ring[(from + k) % n] - side.at;
    const double inwards = side.unit.cross(d), along = side.unit.dot(d - (ring[from] - side.at));
    if (inwards < -k_on_side_px || along > k_longest_bridge * side.length) return n;
    if (inwards < k_on_side_px && along > 0) return k;
  }
  return n;
}

Ring bridged_on(const Ring& ring, const Side& side, const cv::Mat& lab) {
  const size_t n = ring.size();
  std::vector<bool> dropped(n, false);
  for (size_t i = 0; i < n; ++i) {
    if (dropped[i] || std::abs(side.unit.cross(ring[i] - side.at)) > k_on_side_px) continue;
    const size_t steps = back_on_side(ring, i, side);
    if (steps < 3 || steps == n) continue;
    if (seen_edge_share(lab, ring[i], ring[(i + steps) % n]) < k_least_seen) continue;
    for (size_t k = 1; k < steps; ++k) dropped[(i + k) % n] = true;
  }
  Ring out;
  for (size_t i = 0; i < n; ++i)
    if (!dropped[i]) out.push_back(ring[i]);
  return out;
}

}  // namespace

Ring bridged(const Ring& ring, const cv::Mat& lab) {
  const auto corners = main_sides(ring);
  if (!corners) return ring;
  Ring out = resampled(clockwise(ring), 3);
  for (size_t i = 0; i < 4; ++i) {
    const cv::Point2d along = (*corners)[(i + 1) % 4] - (*corners)[i];
    const double length = cv::norm(along);
    out = bridged_on(out, {(*corners)[i], along * (1 / length), length}, lab);
  }
  return out.size() < 4 ? ring : out;
}

}  // namespace verdigrid
