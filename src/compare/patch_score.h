// How well a small patch fits at each place of a window: zero-mean normalised correlation, -1..1,
// summed in whole numbers.
//
// For patches of some ten px a direct sum is several times faster than the Fourier transforms of
// cv::matchTemplate, whose TM_CCOEFF_NORMED it equals but for rounding. Grey pictures CV_8UC1. May
// be called from any thread.
#pragma once

#include <opencv2/core.hpp>

namespace verdigrid {

// CV_32FC1, one score per place of the patch's top-left corner in `window`; 0 where either is flat.
// The patch is no larger than the window and has at most 32,768 px.
cv::Mat patch_scores(const cv::Mat& patch, const cv::Mat& window);

}  // namespace verdigrid
