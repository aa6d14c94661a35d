// Pictures of a comparison for people: what changed on the photo after, and the two photos side by
// side, both cut to the board and turned as it reads; readable without colour.
//
// Return CV_8UC3 BGR. May be called from any thread. Cost: about 0.5 s each on 24 megapixels.
#pragma once

#include <opencv2/core.hpp>

#include "base/work.h"
#include "compare/comparison.h"
#include "photo/photo.h"

namespace verdigrid {

struct ChangePictureOptions {
  int long_side_px = 2200;   // of the board's picture, or of both side by side, 400..20000
  int numbers_at_most = 60;  // numbers of the list of changes, in its order, 0 or more

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// The photo after in the place of the photo before, at its light, with the changes hatched, the
// grid, signs with the numbers of the list of changes, and a legend. Photos must be those of the
// comparison (require: sizes).
cv::Mat change_overlay(const Photo& before, const Photo& after, const Comparison& comparison,
                       const ChangePictureOptions& options = {}, const Work& work = {});

// Before on the left, after on the right, the same places at the same spots, changes outlined and
// numbered as in the list.
cv::Mat side_by_side(const Photo& before, const Photo& after, const Comparison& comparison,
                     const ChangePictureOptions& options = {}, const Work& work = {});

// The board before and after without any drawing, the same places at the same spots and in the same
// light, to swipe between; of one size.
struct BeforeAndAfter {
  cv::Mat before, after;
};
BeforeAndAfter plain_views(const Photo& before, const Photo& after, const Comparison& comparison,
                           const ChangePictureOptions& options = {}, const Work& work = {});

}  // namespace verdigrid
