// A photo's pixels as CIELAB, for looking and comparing; figures are promised by base/colour.h.
#pragma once

#include <opencv2/core.hpp>

namespace verdigrid {

// CV_8UC3 sRGB in OpenCV's order (BGR) to CV_32FC3 of L 0..100, a, b, same size, by OpenCV's table,
// which is off by up to 0.18. May be called from any thread: OpenCV 4.6 builds that table without a
// lock when it is first asked for, so it is asked once by one thread alone.
cv::Mat lab_of_bgr(const cv::Mat& bgr);

}  // namespace verdigrid
