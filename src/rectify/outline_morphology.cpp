#include <opencv2/imgproc.hpp>

#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

// Distance of every set pixel to the nearest one that is not set.
cv::Mat distance_inside(const cv::Mat& map) {
  cv::Mat distance;
  cv::distanceTransform(map, distance, cv::DIST_L2, cv::DIST_MASK_3, CV_32F);
  return distance;
}

}  // namespace

cv::Mat shrunk(const cv::Mat& map, double radius_px) {
  if (cv::countNonZero(map) == static_cast<int>(map.total())) return map.clone();
  return distance_inside(map) > radius_px;
}

cv::Mat grown(const cv::Mat& map, double radius_px) {
  if (cv::countNonZero(map) == 0) return map.clone();
  return distance_inside(~map) <= radius_px;
}

cv::Mat opened(const cv::Mat& map, double radius_px) {
  return grown(shrunk(map, radius_px), radius_px);
}

cv::Mat closed(const cv::Mat& map, double radius_px) {
  return shrunk(grown(map, radius_px), radius_px);
}

}  // namespace verdigrid
