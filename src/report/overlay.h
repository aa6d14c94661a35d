// overlay.jpg: the photo with everything the survey says about it - findings, lettered grid,
// places, what cannot be seen, legend and scale bar - readable without colour.
//
// The photo is shown turned as the board reads. Returns CV_8UC3 BGR, slightly larger than
// options.long_side_px. May be called from any thread. Cost: about 0.3 s on 24 megapixels.
#pragma once

#include <opencv2/core.hpp>

#include "base/work.h"
#include "measure/survey.h"
#include "photo/photo.h"
#include "report/photo_view.h"

namespace verdigrid {

struct OverlayOptions {
  int long_side_px = 2400;   // of the photo in the picture; small photos are enlarged at most 3x
  int letters_at_most = 80;  // class letters, largest findings first; the rest keep their hatch

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// `survey` must be of `photo` (require: same size).
cv::Mat overlay_picture(const Photo& photo, const Survey& survey,
                        const OverlayOptions& options = {}, const Work& work = {});

// Where the photo lies on that picture: for showing it there without anything over it.
PhotoView overlay_view(const Survey& survey, const OverlayOptions& options = {});

}  // namespace verdigrid
