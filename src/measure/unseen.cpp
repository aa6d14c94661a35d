#include "measure/unseen.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

// Where the photo check left no picture: large enough for a part of a few millimetres.
constexpr int k_long_side_px = 1500;

HiddenPicture blank(cv::Size photo) {
  const double scale =
      std::min(1.0, static_cast<double>(k_long_side_px) / std::max(photo.width, photo.height));
  return {cv::Mat::zeros(static_cast<int>(std::ceil(photo.height * scale)),
                         static_cast<int>(std::ceil(photo.width * scale)), CV_8UC1),
          scale};
}

// First pixel of the reduced picture whose centre lies at or behind this photo column's left edge.
int reduced(int photo_column, double scale) {
  return static_cast<int>(std::ceil(photo_column * scale - 0.5));
}

// Calls visit(x, y, p_px) for every pixel of the reduced picture whose centre lies in `region`.
template <class Visit>
void for_each_in(const HiddenPicture& hidden, const PolygonRows& region, Visit visit) {
  const int first = std::max(0, reduced(region.first_row(), hidden.scale));
  const int end = std::min(hidden.bits.rows, reduced(region.end_row(), hidden.scale));
  for (int y = first; y < end; ++y) {
    const double photo_y = (y + 0.5) / hidden.scale - 0.5;
    for (const PixelSpan& s : region.row(static_cast<int>(std::lround(photo_y)))) {
      const int stop = std::min(hidden.bits.cols, reduced(s.end, hidden.scale));
      for (int x = std::max(0, reduced(s.first, hidden.scale)); x < stop; ++x)
        visit(x, y, cv::Point2d((x + 0.5) / hidden.scale - 0.5, photo_y));
    }
  }
}

void count(HiddenArea& to, int bits, double area) {
  to.any += area;
  if (bits & k_glare_bit) to.glare += area;
  if (bits & k_blur_bit) to.blur += area;
  if (bits & k_under_part_bit) to.under_parts += area;
}

size_t square_of(const Grid& grid, cv::Point2d p) {
  const int column =
      std::clamp(static_cast<int>((p.x - grid.frame.x) / grid.square_width()), 0, grid.columns - 1);
  const int row =
      std::clamp(static_cast<int>((p.y - grid.frame.y) / grid.square_height()), 0, grid.rows - 1);
  return static_cast<size_t>(row * grid.columns + column);
}

}  // namespace

void HiddenArea::add(const HiddenArea& other) {
  glare += other.glare;
  blur += other.blur;
  under_parts += other.under_parts;
  any += other.any;
}

HiddenPicture hidden_with_parts(const cv::Mat& bits, double scale, cv::Size photo_size_px,
                                const std::vector<PolygonRows>& bodies) {
  require(bits.empty() || (bits.type() == CV_8UC1 && scale > 0),
          "hidden is an 8-bit picture with a scale");
  if (bodies.empty()) return {bits, scale};
  HiddenPicture hidden = bits.empty() ? blank(photo_size_px) : HiddenPicture{bits.clone(), scale};
  for (const PolygonRows& body : bodies)
    for_each_in(hidden, body, [&](int x, int y, cv::Point2d) {
      hidden.bits.at<std::uint8_t>(y, x) |= k_under_part_bit;
    });
  return hidden;
}

std::vector<HiddenArea> hidden_by_square(const HiddenPicture& hidden, const PixelLattice& lattice,
                                         const PolygonRows& outline, const Grid& grid) {
  std::vector<HiddenArea> squares(static_cast<size_t>(grid.rows * grid.columns));
  for_each_in(hidden, outline, [&](int x, int y, cv::Point2d p_px) {
    const int bits = hidden.bits.at<std::uint8_t>(y, x);
    if (bits == 0) return;
    const BoardPixel at = lattice.at(p_px);
    count(squares[square_of(grid, at.p_board)], bits, at.area / (hidden.scale * hidden.scale));
  });
  return squares;
}

HiddenArea hidden_in(const HiddenPicture& hidden, const PixelLattice& lattice,
                     const PolygonRows& region) {
  HiddenArea sum;
  for_each_in(hidden, region, [&](int x, int y, cv::Point2d p_px) {
    const int bits = hidden.bits.at<std::uint8_t>(y, x);
    if (bits != 0) count(sum, bits, lattice.at(p_px).area / (hidden.scale * hidden.scale));
  });
  return sum;
}

}  // namespace verdigrid
