// A photo straightened: what it shows of the board, on the board's plane at one scale.
//
// px of the photo and of the straight picture. May be called from any thread. Cost: about 0.5 s per
// 24 megapixels.
#pragma once

#include "base/work.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct StraightOptions {
  double margin_share = 0.03;   // of the board's longer side, shown around it, 0..1
  double pixel_limit_mp = 200;  // above 0
  void check() const;           // throws Error{wrong_use} naming the field
};

struct Straight {
  cv::Mat bgr;                  // CV_8UC3; black where the photo shows nothing
  Rectification rectification;  // of `bgr`: as sure as the photo's, without lens or tilt
};

// At the photo's own px per board unit at the outline's centre; the back is shown as the camera
// sees it. Throws Error{bad_input} for a result above the limit.
Straight straightened(const Photo& photo, const Rectification& rectification,
                      const StraightOptions& options = {}, const Work& work = {});

}  // namespace verdigrid
