// Deposits: flagged pixels that belong together, gathered from the runs of the labels. The raw
// material of findings.
//
// Units: photo px. May be called from any thread.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "detect/residue.h"
#include "detect/runs.h"

namespace verdigrid {

struct Deposit {
  std::vector<Run> runs;
  std::array<double, k_residue_count> votes{};  // px per class
  cv::Rect box_px;
  cv::Point2d centre_px;
  long area_px = 0;
  double confidence = 0;  // mean over its px, 0..1
};

// Pixels whose distance is below about `merge_px` belong to one deposit.
std::vector<Deposit> deposits_of(const ResidueMap& map, double merge_px);

// One deposit of these runs, row by row; at least one.
Deposit deposit_of(std::vector<Run> runs, const cv::Mat& confidence);

// Class with the most votes; unsure where the second has at least `tie` times as many.
Residue voted_class(const Deposit& deposit, double tie);

// CV_8UC1, 255 on the deposit's pixels, of the size of its box.
cv::Mat picture_of(const Deposit& deposit);

}  // namespace verdigrid
