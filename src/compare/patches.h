// Small patches of one photo searched for in the other around where a warp expects them: the
// measure of whether two photos show the same board, and the pairs that refine the warp.
//
// Grey pictures CV_8UC1. Score: zero-mean normalised correlation, -1..1. May be called from any
// thread; the work is spread over OpenCV's threads with the same result on any number of them.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "compare/point_map.h"

namespace verdigrid {

struct PatchOptions {
  int side_px = 33;     // of a patch, odd
  int search_px = 12;   // how far off it is looked for, each way
  int spacing_px = 26;  // between patch centres
  double least_sd = 6;  // grey levels: flatter patches say nothing
  void check() const;   // throws Error{wrong_use} naming the field
};

struct PatchMatch {
  cv::Point2d first_px;  // centre of the patch
  cv::Point2d
      offset_px;  // from where the warp expects it to where it fits best, in the first's frame
  cv::Point2d second_px;  // where it fits best
  double score = 0;
};

// Every textured patch whose centre lies in `region` of the first photo (whole picture when empty)
// and whose search window lies in both photos. The photos should show the board at about one scale.
std::vector<PatchMatch> patch_matches(const cv::Mat& first, const cv::Mat& second,
                                      const PointMap& warp, const Polygon& region_px,
                                      const PatchOptions& options, const Work& work = {});

struct Agreement {
  size_t patches = 0;  // textured ones
  size_t agreeing = 0;
  double share = 0;     // agreeing / patches
  double coverage = 0;  // share of the board's blocks (6 x 6) in which patches agree
  double rms_px = 0;    // of the agreeing patches' offsets
};

// share times coverage, 0..1: high only where much agrees nearly everywhere.
inline double strength(const Agreement& agreement) { return agreement.share * agreement.coverage; }

// A patch agrees when it fits best within `tolerance_px` of where it is expected and its score is
// at least `least_score`.
Agreement agreement_of(const std::vector<PatchMatch>& matches, double tolerance_px,
                       double least_score);

}  // namespace verdigrid
