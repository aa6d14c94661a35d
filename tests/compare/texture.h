// Cheap pictures with something to see everywhere: rectangles and discs like parts and pads.
#pragma once

#include <opencv2/imgproc.hpp>
#include <random>

#include "base/geometry.h"

namespace verdigrid {

// CV_8UC3; the same seed gives the same picture.
inline cv::Mat texture(cv::Size size, unsigned seed, int things = 700) {
  std::mt19937 random(seed);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  cv::Mat bgr(size, CV_8UC3, cv::Scalar(60, 110, 50));
  for (int i = 0; i < things; ++i) {
    const cv::Point p(below(size.width), below(size.height));
    const cv::Scalar colour(below(256), below(256), below(256));
    if (i % 3 == 0)
      cv::circle(bgr, p, 2 + below(7), colour, cv::FILLED, cv::LINE_AA);
    else
      cv::rectangle(bgr, cv::Rect(p, cv::Size(4 + below(24), 3 + below(14))), colour, cv::FILLED,
                    cv::LINE_AA);
  }
  return bgr;
}

// The picture as a camera at another place would have it: second from first.
inline cv::Mat viewed(const cv::Mat& bgr, const cv::Matx33d& second_from_first, cv::Size size) {
  cv::Mat out;
  cv::warpPerspective(bgr, out, second_from_first, size, cv::INTER_AREA, cv::BORDER_CONSTANT,
                      cv::Scalar(150, 150, 150));
  return out;
}

// A turn about the picture's centre, counter-clockwise as seen, with a little perspective.
inline cv::Matx33d turned_view(cv::Size size, double angle_deg, double perspective = 5e-5) {
  const cv::Mat m = cv::getRotationMatrix2D(
      {static_cast<float>(size.width) / 2, static_cast<float>(size.height) / 2}, angle_deg, 0.9);
  cv::Matx33d h(m.at<double>(0, 0), m.at<double>(0, 1), m.at<double>(0, 2), m.at<double>(1, 0),
                m.at<double>(1, 1), m.at<double>(1, 2), perspective, -perspective / 2, 1);
  return h;
}

}  // namespace verdigrid
