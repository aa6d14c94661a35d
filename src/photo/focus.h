// How wide the sharpest edges of a photo are, tile by tile: the measure of focus.
//
// Edges are taken as Gaussian steps. Along a row or column, contrast / steepest slope of a Gaussian
// step of width sigma is sqrt(2 pi) sigma, whatever is drawn (edge width as a measure of blur: P.
// Marziliano, F. Dufaux, S. Winkler, T. Ebrahimi, "A no-reference perceptual blur metric", ICIP
// 2002). A tile's width is that of its sharpest fifth, since soft edges (shadows, rounded parts)
// are in every photo. Pure; may be called from any thread. Cost: about 25 ms for 24 megapixels.
#pragma once

#include <opencv2/core.hpp>

#include "base/work.h"

namespace verdigrid {

inline constexpr int k_focus_tile_px = 128;

struct FocusMap {
  cv::Mat sigma_px;  // CV_32FC1, one value a tile, row by row; 0 where too few edges are seen
  int tile_px = k_focus_tile_px;
};

FocusMap focus_map(const cv::Mat& bgr, const Work& work = {});

// Sampling efficiency of a Gaussian blur: the frequency at which contrast falls to 10 %, over the
// highest frequency that pixels can carry (0.5 per px), at most 1. MTF(f) = exp(-2 pi^2 sigma^2
// f^2) gives sqrt(ln 10 / 2) / (pi sigma) / 0.5 = 0.683 / sigma.
double sampling_efficiency(double sigma_px);

// The frequency in cycles per px at which contrast falls to half: sqrt(ln 2 / 2) / (pi sigma).
double mtf50_cycles_per_px(double sigma_px);

}  // namespace verdigrid
