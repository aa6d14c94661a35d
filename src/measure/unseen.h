// The share of the board that one photo cannot show: glare and blur (from the photo check) and what
// lies outside the photo.
#pragma once

#include <vector>

#include "layout/grid.h"
#include "measure/pixel_lattice.h"
#include "measure/polygon_rows.h"

namespace verdigrid {

// Board area that is hidden, in board units squared.
struct HiddenArea {
  double glare = 0, blur = 0, either = 0;
};

// `hidden` and `hidden_scale` as in PhotoCheck; one value per square of the grid, row by row. Only
// inside the outline. Exact to one pixel of the reduced picture.
std::vector<HiddenArea> hidden_by_square(const cv::Mat& hidden, double hidden_scale,
                                         const PixelLattice& lattice, const PolygonRows& outline,
                                         const Grid& grid);

}  // namespace verdigrid
