// From a binary picture to polygons along pixel borders, so that a polygon's area is exactly its
// number of pixels.
//
// May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

// `on` CV_8UC1, non-zero is inside; may be empty. `origin` is added to every point. Pixels that
// touch only at a corner end up in two polygons. Outer rings clockwise as seen, holes the other
// way; points where the direction changes only.
std::vector<Polygon> border_polygons(const cv::Mat& on, cv::Point origin);

// CV_8UC1 of the given size, 255 where the centre of a cell of `cell_px` x `cell_px` photo px lies
// in one of the polygons (photo px); the inverse of border_polygons for cell_px 1.
cv::Mat picture_of(const std::vector<Polygon>& polygons, cv::Size size, int cell_px);

}  // namespace verdigrid
