// How far a point or a straight piece of a line lies from a polygon, in the units of the points.
//
// What lies inside the polygon is at distance 0; its holes are outside. Infinite for an empty one.
#pragma once

#include "base/geometry.h"

namespace verdigrid {

double distance_to_polygon(cv::Point2d p, const Polygon& polygon);

// Of the segment from a to b, which may be a point.
double segment_to_polygon(cv::Point2d a, cv::Point2d b, const Polygon& polygon);

}  // namespace verdigrid
