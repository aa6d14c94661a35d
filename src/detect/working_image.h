// The reduced picture on which detectors and the guided look work: white-balanced float Lab of the
// board, and what its colour is on the whole and around each place.
//
// At most k_working_pixels pixels, and no finer than k_working_px_per_mm where a scale is known, so
// that texture means the same on every photo. Lab: float, L 0..100, a and b about -128..127. Cost:
// about 30 ms for 24 megapixels on two cores. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "base/colour.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

inline constexpr double k_working_pixels = 1.5e6;
inline constexpr double k_working_px_per_mm = 12;

struct WorkingImage {
  int factor = 1;     // photo px along one side of a working px
  cv::Size photo_px;  // size of the photo
  cv::Mat bgr;        // CV_8UC3, mean of factor x factor photo px
  cv::Mat lab;        // CV_32FC3, white-balanced
  cv::Mat local;      // CV_32FC3, mean Lab of the board around each px (2 % of the diagonal)
  cv::Mat board;      // CV_8UC1, 255 where the whole working px lies inside the outline, else 0
  long board_px = 0;  // how many are 255
  double diagonal_px = 0;           // of the outline's bounding box, in working px
  std::optional<double> px_per_mm;  // of the working image
  Lab white_shift;                  // what white balance took from a and b (L is 0)
  Lab own_mask;                     // the board's most common colour: its solder mask, as a rule
};

WorkingImage working_image(const Photo& photo, const Rectification& rectification);

// The white balance and the own colour alone, from a sparse sample of the photo (about 1 ms).
struct BoardColour {
  Lab white_shift, own_mask;
};
BoardColour board_colour(const Photo& photo, const Rectification& rectification);

// Chroma components of a colour as they would be at a middle lightness: dark pictures of a salt
// have less chroma than bright ones. Our own rule: a and b times 70 / (L + 20).
cv::Point2f flattened_chroma(const cv::Vec3f& lab);

// A CV_8UC1 map of the working size at the size of the photo (each working px repeated; the last
// ones also cover what a whole working px no longer fits in).
cv::Mat at_photo_size(const cv::Mat& working_map, const WorkingImage& image);

}  // namespace verdigrid
