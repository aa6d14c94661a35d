// First guesses where a close-up may lie; used inside this folder.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/work.h"
#include "compare/close_up.h"
#include "compare/features.h"

namespace verdigrid {

struct CloseUpGuess {
  cv::Matx33d photo_from_close_up;
  size_t votes = 0;  // matched features that agree with it
};

// Places that lie apart, most votes first, at most a few. `photo` from tiled_features, `close_up`
// CV_8UC1.
std::vector<CloseUpGuess> close_up_guesses(const Features& photo, const cv::Mat& close_up,
                                           const CloseUpOptions& options, const Work& work);

// Of the close-up made small, twice, whose features all vote, however like another one's: fewer in
// all, but nearly all of what the photo can show of it.
std::vector<CloseUpGuess> coarse_guesses(const Features& photo, const cv::Mat& close_up,
                                         const CloseUpOptions& options, const Work& work);

// A feature of both: each is the other's nearest among those of the close-up and those of the photo
// round a view.
struct CommonFeature {
  cv::Point2d photo_px, close_up_px;
  bool is_of_size = false;  // as large as the view has it
};

// `photo` and `close_up` as above; the close-up is brought to about the photo's own fineness first.
std::vector<CommonFeature> common_features(const Features& photo, const cv::Mat& close_up,
                                           const cv::Matx33d& photo_from_close_up);

// Whether the view puts the feature where it is.
bool agrees(const CommonFeature& feature, const cv::Matx33d& photo_from_close_up);

struct FeatureSupport {
  size_t common = 0, agreeing = 0;
  double share() const {
    return common == 0 ? 0 : static_cast<double>(agreeing) / static_cast<double>(common);
  }
};

FeatureSupport support_of(const std::vector<CommonFeature>& features,
                          const cv::Matx33d& photo_from_close_up);

// px of the close-up per px of the photo, at the close-up's middle.
double close_up_scale(const cv::Matx33d& photo_from_close_up, cv::Size close_up_px);

// The frame of a picture (its pixels' outer borders), clockwise, seen through `h`.
Ring frame_through(const cv::Matx33d& h, cv::Size size);

}  // namespace verdigrid
