// A place of a close-up on its photo looked at by patches; used inside this folder.
//
// Pictures BGR CV_8UC3, views photo_from_close_up.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "base/work.h"
#include "compare/close_up.h"
#include "compare/close_up_search.h"
#include "compare/patches.h"

namespace verdigrid {

// Both pictures at about one scale, the close-up brought to the photo's own sharpness; of the photo
// only what lies round the view.
struct CheckPictures {
  cv::Mat close, photo;
  cv::Matx33d photo_from_whole, close_from_whole;
  double scale = 1;  // px of `photo` per px of the whole photo

  cv::Matx33d to_small(const cv::Matx33d& view) const {
    const cv::Matx33d h = photo_from_whole * view * close_from_whole.inv();
    return h * (1 / h(2, 2));
  }
  cv::Matx33d to_whole(const cv::Matx33d& small) const {
    const cv::Matx33d h = photo_from_whole.inv() * small * close_from_whole;
    return h * (1 / h(2, 2));
  }
};

// At such a size that the close-up's longer side on the photo has `long_side_px`, or less where
// that would only show single px of the photo. Empty where too little of either is left.
std::optional<CheckPictures> check_pictures(const cv::Mat& photo, const cv::Mat& close_up,
                                            const cv::Matx33d& view, double long_side_px);

// A view after the look at patches, which corrected it.
struct Checked {
  cv::Matx33d photo_from_close_up = cv::Matx33d::eye();
  double strength = 0;
  Agreement agreement;
  FeatureSupport features;  // filled by who needs it
  double photo_px_per_check_px = 1;
};

// Empty where the view is out of range or off the photo.
std::optional<Checked> checked(const cv::Mat& photo, const cv::Mat& close_up,
                               const cv::Matx33d& guess, const CloseUpOptions& options,
                               const Work& work);

// Of the close-up's frame, the share that lies on the photo.
double share_on_photo(const cv::Matx33d& view, cv::Size close_up, cv::Size photo);
inline constexpr double k_least_on_photo = 0.5;

CloseUpPlace place_of(const Checked& found, cv::Size close_up, cv::Size photo);

// What stands above the board is seen shifted against it, so that parts of a close-up fit views
// that lie apart: those near `guess` that patches in a wide search around it agree on.
std::vector<cv::Matx33d> close_up_layers(const cv::Mat& photo, const cv::Mat& close_up,
                                         const cv::Matx33d& guess, const Work& work);

// Of the border of the close-up's frame, how much each of these views near `guess` holds, by
// patches and by `features`, in px of the whole close-up. Parts stand within the frame or reach
// into it from one side; what lies all along its border is the board.
std::vector<double> border_shares(const cv::Mat& photo, const cv::Mat& close_up,
                                  const cv::Matx33d& guess,
                                  const std::vector<CommonFeature>& features,
                                  const std::vector<cv::Matx33d>& views, const Work& work);

}  // namespace verdigrid
