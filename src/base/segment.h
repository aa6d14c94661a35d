// Straight pieces of a line between two points, in the units of the points.
#pragma once

#include <algorithm>
#include <opencv2/core.hpp>

namespace verdigrid {

// The point from a to b, ends included, that lies nearest to p; a when both are one point.
inline cv::Point2d nearest_on_segment(cv::Point2d p, cv::Point2d a, cv::Point2d b) {
  const cv::Point2d along = b - a;
  const double length2 = along.dot(along);
  const double t = length2 > 0 ? std::clamp((p - a).dot(along) / length2, 0.0, 1.0) : 0;
  return a + t * along;
}

inline double distance_to_segment(cv::Point2d p, cv::Point2d a, cv::Point2d b) {
  return cv::norm(nearest_on_segment(p, a, b) - p);
}

}  // namespace verdigrid
