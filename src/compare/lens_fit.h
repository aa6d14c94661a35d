// The view of a flat board by a lens with radial distortion, from places on the board and their
// places in a photo.
#pragma once

#include <optional>
#include <vector>

#include "rectify/rectification.h"

namespace verdigrid {

struct BoardPair {
  cv::Point2d board;  // board units
  cv::Point2d photo_px;
  double weight = 1;
};

struct BoardView {
  cv::Matx33d board_from_photo_px;  // of undistorted px when `lens` is set
  std::optional<Lens> lens;         // only when the pairs need one
  double rms_px = 0;                // robust, of the pairs
};

// Homography and, when the residuals speak clearly for it, k1 and k2 about the photo's centre, by
// Gauss-Newton with Tukey's biweight. At least eight pairs (require). The focal length is set to
// the photo's longer side: for a flat board it only scales k1 and k2.
BoardView board_view(const std::vector<BoardPair>& pairs, cv::Size photo_size_px);

}  // namespace verdigrid
