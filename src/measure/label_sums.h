// The one pass over full-size labels: pixels, area and border of every class, per square and per
// region, with the findings that lie there.
//
// Areas in board units squared, each pixel with its own area (measure/pixel_lattice.h). Pixels
// outside the outline are not counted. Regions may overlap each other and the squares.
// Deterministic on any number of threads: strips of rows are summed in a fixed order.
#pragma once

#include <array>
#include <vector>

#include "base/work.h"
#include "detect/residue.h"
#include "layout/grid.h"
#include "measure/label_blocks.h"
#include "measure/pixel_lattice.h"
#include "measure/polygon_rows.h"

namespace verdigrid {

// Border is in area^2 units: the sum over border pixel sides of the squared pixel area, so that
// times (sd in px)^2 and a correlation length in px it is a variance of the area.
struct LabelSums {
  std::array<long, k_residue_count> px{};
  std::array<double, k_residue_count> area{};
  std::array<double, k_residue_count> border{};  // of the class against everything else
  double affected_border = 0;                    // of all classes against none
  std::vector<int> findings;                     // ids, rising, once each

  void add(const LabelSums& other);
};

struct SumsInput {
  cv::Mat labels;             // CV_8UC1, ids 0..7
  cv::Mat finding_of_px;      // CV_16UC1 or empty
  const LabelBlocks& blocks;  // of these labels, as wide as a step of the lattice
  const PixelLattice& lattice;
  const PolygonRows& outline;
  const Grid& grid;
  const std::vector<const PolygonRows*>& regions;
};

struct SumsResult {
  std::vector<LabelSums> squares;  // grid.rows x grid.columns, row by row
  std::vector<LabelSums> regions;  // in their order
};

SumsResult label_sums(const SumsInput& input, const Work& work = {});

}  // namespace verdigrid
