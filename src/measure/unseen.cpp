#include "measure/unseen.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_glare_bit = 1, k_blur_bit = 2;

size_t square_of(const Grid& grid, cv::Point2d p) {
  const int column =
      std::clamp(static_cast<int>((p.x - grid.frame.x) / grid.square_width()), 0, grid.columns - 1);
  const int row =
      std::clamp(static_cast<int>((p.y - grid.frame.y) / grid.square_height()), 0, grid.rows - 1);
  return static_cast<size_t>(row * grid.columns + column);
}

}  // namespace

std::vector<HiddenArea> hidden_by_square(const cv::Mat& hidden, double hidden_scale,
                                         const PixelLattice& lattice, const PolygonRows& outline,
                                         const Grid& grid) {
  std::vector<HiddenArea> squares(static_cast<size_t>(grid.rows * grid.columns));
  if (hidden.empty()) return squares;
  require(hidden.type() == CV_8UC1 && hidden_scale > 0, "hidden is an 8-bit picture with a scale");
  const double photo_px_each = 1 / (hidden_scale * hidden_scale);
  for (int y = 0; y < hidden.rows; ++y) {
    const auto* row = hidden.ptr<std::uint8_t>(y);
    for (int x = 0; x < hidden.cols; ++x) {
      if ((row[x] & (k_glare_bit | k_blur_bit)) == 0) continue;
      const cv::Point2d p{(x + 0.5) / hidden_scale - 0.5, (y + 0.5) / hidden_scale - 0.5};
      if (!outline.contains(static_cast<int>(std::lround(p.x)), static_cast<int>(std::lround(p.y))))
        continue;
      const BoardPixel at = lattice.at(p);
      HiddenArea& square = squares[square_of(grid, at.p_board)];
      const double area = at.area * photo_px_each;
      square.either += area;
      if (row[x] & k_glare_bit) square.glare += area;
      if (row[x] & k_blur_bit) square.blur += area;
    }
  }
  return squares;
}

}  // namespace verdigrid
