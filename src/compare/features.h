// Points that look alike in two photos: SIFT (Lowe, IJCV 60(2), 2004) with root descriptors
// (Arandjelovic, Zisserman, CVPR 2012).
//
// Grey pictures CV_8UC1. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "compare/warp.h"

namespace verdigrid {

struct Features {
  std::vector<cv::Point2f> points_px;
  std::vector<float> sizes_px, angles_deg;  // of each point: its diameter, its direction
  cv::Mat descriptors;                      // CV_32FC1, one row per point
};

// CV_8UC1 of `size`, 255 inside the region; an empty picture for an empty region.
cv::Mat region_picture(cv::Size size, const Polygon& region_px);

// At most `count` of the strongest points inside `region` (whole picture when it is empty).
Features features_of(const cv::Mat& grey, const Polygon& region_px, int count);

// Of a picture of any size, tile by tile: memory is that of one tile, and every tile gives at most
// `count_per_tile` points.
Features tiled_features(const cv::Mat& grey, int count_per_tile, const Work& work);

// Nearest neighbours whose distance is below `ratio` of the second nearest's.
std::vector<PointPair> feature_pairs(const Features& first, const Features& second, double ratio);

}  // namespace verdigrid
