// The reduced picture that the photo checks share, and the part of it that is judged.
//
// Inside src/photo only. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "base/geometry.h"
#include "photo/photo.h"

namespace verdigrid {

struct CheckView {
  const Photo& photo;
  int reduction = 1;  // photo px per reduced px, whole
  cv::Mat bgr;  // CV_8UC3, means of reduction x reduction photo px (from 4 on: of every second row)
  cv::Mat judged;  // CV_8UC1, 255 where the photo is judged, same size as bgr
  double judged_px = 0;
  bool is_whole_frame = true;  // no board outline was given
};

// Reduced to about 0.6 megapixels. Without an outline, white or black background that runs into the
// frame's edge is left out, unless nothing else is there.
CheckView check_view(const Photo& photo, const Polygon& board_px);

// "top left", "top", ..., "middle": where `at` lies in `frame`, by thirds.
std::string place_in_frame(cv::Point2d at, cv::Size2d frame);

}  // namespace verdigrid
