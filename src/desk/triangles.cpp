#include "desk/triangles.h"

#include <algorithm>
#include <numeric>

namespace verdigrid {

namespace {

double turn(cv::Point2d a, cv::Point2d b, cv::Point2d c) { return (b - a).cross(c - b); }

bool is_inside(cv::Point2d p, cv::Point2d a, cv::Point2d b, cv::Point2d c) {
  return turn(a, b, p) > 0 && turn(b, c, p) > 0 && turn(c, a, p) > 0;
}

}  // namespace

std::vector<Triangle> triangles_of(const Ring& ring) {
  std::vector<Triangle> triangles;
  if (ring.size() < 3) return triangles;
  std::vector<size_t> left(ring.size());
  std::iota(left.begin(), left.end(), size_t{0});
  if (signed_area(ring) < 0) std::reverse(left.begin(), left.end());
  const auto is_ear = [&](size_t i) {
    const size_t n = left.size(), before = left[(i + n - 1) % n], here = left[i],
                 after = left[(i + 1) % n];
    if (turn(ring[before], ring[here], ring[after]) <= 0) return false;
    for (const size_t k : left)
      if (k != before && k != here && k != after &&
          is_inside(ring[k], ring[before], ring[here], ring[after]))
        return false;
    return true;
  };
  while (left.size() > 3) {
    size_t ear = 0;
    while (ear < left.size() && !is_ear(ear)) ++ear;
    if (ear == left.size()) ear = 0;  // crosses itself, or all on one line
    const size_t n = left.size();
    triangles.push_back({left[(ear + n - 1) % n], left[ear], left[(ear + 1) % n]});
    left.erase(left.begin() + static_cast<std::ptrdiff_t>(ear));
  }
  triangles.push_back({left[0], left[1], left[2]});
  return triangles;
}

}  // namespace verdigrid
