// Which of the views near a place is that of the board: tall parts are seen shifted against it, so
// that board and tops of parts fit views that lie apart; used inside this folder.
#pragma once

#include <functional>

#include "compare/close_up_check.h"

namespace verdigrid {

using CommonFeaturesAt = std::function<std::vector<CommonFeature>(const cv::Matx33d&)>;

struct ViewOfBoard {
  Checked place;
  Interval scale_range;                            // of the board beneath what the close-up shows
  double border_share = 0, next_border_share = 0;  // of this view and of the next one
};

// `common_at` gives the features that both have in common round a view, in px of the whole
// close-up.
ViewOfBoard view_of_board(const cv::Mat& photo, const cv::Mat& close_up, const Checked& place,
                          const CommonFeaturesAt& common_at, const CloseUpOptions& options,
                          const Work& work);

// The place with the view that its patches give, where enough of them agree with it.
Checked fitted_place(const cv::Mat& photo, const cv::Mat& close_up, const Checked& place,
                     const CloseUpOptions& options, const Work& work);

}  // namespace verdigrid
