// First guesses where a close-up may lie; used inside this folder.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/work.h"
#include "compare/close_up.h"

namespace verdigrid {

struct CloseUpGuess {
  cv::Matx33d photo_from_close_up;
  size_t votes = 0;  // matched features that agree with it
};

// Places that lie apart, most votes first, at most a few. Grey pictures CV_8UC1.
std::vector<CloseUpGuess> close_up_guesses(const cv::Mat& photo, const cv::Mat& close_up,
                                           const CloseUpOptions& options, const Work& work);

// px of the close-up per px of the photo, at the close-up's middle.
double close_up_scale(const cv::Matx33d& photo_from_close_up, cv::Size close_up_px);

// The frame of a picture (its pixels' outer borders), clockwise, seen through `h`.
Ring frame_through(const cv::Matx33d& h, cv::Size size);

}  // namespace verdigrid
