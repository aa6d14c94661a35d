// A close-up in its place, for people: the photo of the side with the close-up's frame on it, and
// the close-up beside it, both turned as the board reads.
//
// Returns CV_8UC3 BGR. Photos must be those of the close-up (require: sizes). May be called from
// any thread.
#pragma once

#include <opencv2/core.hpp>

#include "compare/close_up_file.h"
#include "measure/survey.h"
#include "photo/photo.h"

namespace verdigrid {

struct CloseUpPictureOptions {
  int long_side_px = 2200;  // of both side by side, 400..20000
  void check() const;       // throws Error{wrong_use}
};

// `close_up_survey`: its findings are outlined on the close-up.
cv::Mat close_up_picture(const Photo& photo, int photo_turn_deg, const Photo& close_up,
                         const Survey& close_up_survey, const PlacedCloseUp& placed,
                         const CloseUpPictureOptions& options = {});

}  // namespace verdigrid
