// Do the intervals hold what they promise? Rendered boards of known truth, measured once with the
// true labels and once with the detector's own.
//
// Every board is straightened as a person would do it: its size measured with a ruler, its corners
// placed by hand, both with random errors of the standard deviations that rectify/rectify.h
// assumes; the lens is known. Solder-mask colours go round, tilt to 15 degrees, |k1| to 0.12, every
// fifth board from the back. Same seeds, same figures.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "base/interval.h"
#include "detect/detector.h"
#include "measure/zone_table.h"

namespace verdigrid {

struct CoverageOptions {
  std::uint64_t first_seed = 1;
  int boards = 240;
  cv::Size photo_px{960, 720};
  const Detector* detector = nullptr;  // none: true labels only
};

struct CoverageAmount {
  double truth = 0;  // mm2
  Interval measured;
};

// Index = residue id; [0]: all classes together.
using CoverageAmounts = std::array<CoverageAmount, k_residue_count>;

struct CoveragePlace {
  double area_mm2 = 0;  // of the board or square
  CoverageAmounts amounts;
};

struct CoverageCase {
  std::uint64_t seed = 0;
  const char* mask = "";
  double tilt_deg = 0, k1 = 0, px_per_mm = 0;
  bool is_whole_in_photo = false;  // else the truth is of more than the photo shows
  Interval exact;                  // all classes: true labels, exact rectification
  CoverageAmount true_labels;      // all classes: true labels, scale and edge terms
  CoveragePlace own_board;         // the detector's labels, full interval; empty without a detector
  std::vector<CoveragePlace> own_squares;
};

// As many as asked for, less those whose board is not whole in the photo.
std::vector<CoverageCase> coverage_cases(const CoverageOptions& options);

// True labels' border is rounded to whole pixels: see measure/area_interval.h.
MeasureOptions true_label_options();

// Shares and medians over cases, for printing and checking.
struct CoverageFigures {
  int boards = 0;
  double covered_share = 0;     // of the boards: truth inside the interval
  double median_rel_width = 0;  // width of the interval over the truth, boards with residue
  double median_rel_error = 0;  // |measured / truth - 1|
  double worst_rel_error = 0;
};
CoverageFigures figures_of(const std::vector<CoverageAmount>& amounts);

// One row of label_error.cpp from the labelled and true areas alone. Bias and spread by the median
// and the quartiles of ln(labelled / true) where both are there (at most a factor of two and of
// three: beyond it a patch was missed, not bordered wrongly); the shares so that 2.5 % of the
// places lie above and 2.5 % below what bias and spread reach.
LabelErrors calibrated(const std::vector<CoveragePlace>& places);

}  // namespace verdigrid
