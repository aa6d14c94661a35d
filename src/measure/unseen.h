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
                                const std::vector<const PolygonRows*>& bodies);

// What a hidden picture hides of any region. Made in one pass over the picture, in which equal
// pixels side by side become one run; a region then costs a search a row. Exact to one pixel of the
// picture. Immutable: read from any thread.
class HiddenSums {
 public:
  HiddenSums(const HiddenPicture& hidden, const PixelLattice& lattice);

  HiddenArea in(const PolygonRows& region) const;
  // Per square of the grid, row by row; inside the outline only.
  std::vector<HiddenArea> by_square(const PolygonRows& outline, const Grid& grid) const;

 private:
  struct Run {
    int first = 0, end = 0, bits = 0;  // columns first .. end - 1
    int skipped = 0;                   // columns left of it that are not hidden
  };
  struct Row {
    int photo_y = 0;           // the photo row through its middle
    std::vector<Run> runs;     // left to right
    std::vector<double> area;  // of the hidden pixels left of each hidden column and of the end
  };

  Row read(const cv::Mat& bits, int y) const;
  cv::Point2d photo_px(int x, int y) const;
  // Calls visit(y, run) for what of each run lies in `region`, rows first .. end - 1.
  template <class Visit>
  void visit_runs(const PolygonRows& region, int first, int end, Visit visit) const;
  void count(HiddenArea& to, int y, const Run& run) const;
  void count_squares(std::vector<HiddenArea>& to, int y, const Run& run, const Grid& grid) const;

  const PixelLattice& lattice_;
  double scale_;
  std::vector<Row> rows_;
};

}  // namespace verdigrid
