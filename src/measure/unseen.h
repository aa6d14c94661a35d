// The share of the board that one photo cannot show: glare and blur (from the photo check), what
// lies under parts (from the layout), and what lies outside the photo.
#pragma once

#include <vector>

#include "layout/grid.h"
#include "measure/pixel_lattice.h"
#include "measure/polygon_rows.h"

namespace verdigrid {

// Board area that is hidden, in board units squared; `any` counts overlaps once.
struct HiddenArea {
  double glare = 0, blur = 0, under_parts = 0, any = 0;
  void add(const HiddenArea& other);
};

// Bits of a hidden picture: the photo check's own two, and ours.
inline constexpr int k_glare_bit = 1, k_blur_bit = 2, k_under_part_bit = 4;

// As PhotoCheck::hidden and hidden_scale, with the third bit.
struct HiddenPicture {
  cv::Mat bits;
  double scale = 1;
};

// The photo check's picture with the bodies of parts added. Empty `bits` and no bodies: empty.
HiddenPicture hidden_with_parts(const cv::Mat& bits, double scale, cv::Size photo_size_px,
                                const std::vector<PolygonRows>& bodies);

// Per square of the grid, row by row; inside the outline only. Exact to one pixel of the reduced
// picture.
std::vector<HiddenArea> hidden_by_square(const HiddenPicture& hidden, const PixelLattice& lattice,
                                         const PolygonRows& outline, const Grid& grid);

// In one region.
HiddenArea hidden_in(const HiddenPicture& hidden, const PixelLattice& lattice,
                     const PolygonRows& region);

}  // namespace verdigrid
