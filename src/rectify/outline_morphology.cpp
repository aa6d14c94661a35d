#include <opencv2/imgproc.hpp>

#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

// Crosses and squares of one pixel in turn make an octagon, which is much faster than a disc.
cv::Mat in_steps(const cv::Mat& map, int radius_px, cv::MorphTypes operation) {
  const cv::Mat cross = cv::getStructuringElement(cv::MORPH_CROSS, {3, 3});
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {3, 3});
  cv::Mat from = map.clone(), to;
  for (int i = 0; i < radius_px; ++i) {
    cv::morphologyEx(from, to, operation, i % 2 == 0 ? cross : square);
    std::swap(from, to);
  }
  return from;
}

}  // namespace

cv::Mat shrunk(const cv::Mat& map, int radius_px) {
  return in_steps(map, radius_px, cv::MORPH_ERODE);
}

cv::Mat grown(const cv::Mat& map, int radius_px) {
  return in_steps(map, radius_px, cv::MORPH_DILATE);
}

cv::Mat opened(const cv::Mat& map, int radius_px) {
  return grown(shrunk(map, radius_px), radius_px);
}

cv::Mat closed(const cv::Mat& map, int radius_px) {
  return shrunk(grown(map, radius_px), radius_px);
}

}  // namespace verdigrid
