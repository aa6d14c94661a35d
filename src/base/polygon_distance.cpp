#include "base/polygon_distance.h"

#include <algorithm>
#include <cmath>

#include "base/segment.h"

namespace verdigrid {

namespace {

// 0 where they cross.
double segment_distance(cv::Point2d a, cv::Point2d b, cv::Point2d c, cv::Point2d d) {
  const auto side = [](cv::Point2d p, cv::Point2d q, cv::Point2d r) {
    return (q - p).cross(r - p);
  };
  if (side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0) return 0;
  return std::min({distance_to_segment(a, c, d), distance_to_segment(b, c, d),
                   distance_to_segment(c, a, b), distance_to_segment(d, a, b)});
}

// Least of `distance` over the edges of all rings.
template <typename F>
double least_of_edges(const Polygon& polygon, F distance) {
  double least = HUGE_VAL;
  const auto add = [&](const Ring& ring) {
    for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
      least = std::min(least, distance(ring[j], ring[i]));
  };
  add(polygon.outer);
  for (const Ring& hole : polygon.holes) add(hole);
  return least;
}

}  // namespace

double distance_to_polygon(cv::Point2d p, const Polygon& polygon) {
  if (contains(polygon, p)) return 0;
  return least_of_edges(polygon,
                        [p](cv::Point2d c, cv::Point2d d) { return distance_to_segment(p, c, d); });
}

double segment_to_polygon(cv::Point2d a, cv::Point2d b, const Polygon& polygon) {
  if (contains(polygon, a) || contains(polygon, b)) return 0;
  return least_of_edges(
      polygon, [a, b](cv::Point2d c, cv::Point2d d) { return segment_distance(a, b, c, d); });
}

}  // namespace verdigrid
