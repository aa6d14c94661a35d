#include "layout/grid.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr std::string_view k_letters = "ABCDEFGHJKLMNPQRSTUVWXYZ";  // ISO 5457: no I, no O
constexpr double k_squares_on_long_side = 8;
constexpr double k_smallest_mm = 15, k_largest_mm = 40;

int even_count(double length, double side) {
  // A hair of slack, so that 200 mm over 25 mm is 8 and not 10 after rounding noise.
  const int n = static_cast<int>(std::ceil(length / side - 1e-9));
  return std::max(2, n + n % 2);
}

}  // namespace

Grid grid_over(const cv::Rect2d& frame, bool has_mm) {
  require(frame.width > 0 && frame.height > 0, "a grid needs a frame of positive size");
  const double longest = std::max(frame.width, frame.height);
  double side = longest / k_squares_on_long_side;
  if (has_mm) side = std::clamp(side, k_smallest_mm, k_largest_mm);
  return {frame, even_count(frame.width, side), even_count(frame.height, side), has_mm};
}

std::string row_letters(int row) {
  require(row >= 0, "rows count from zero");
  const int n = static_cast<int>(k_letters.size());
  std::string letters;
  for (int i = row; i >= 0; i = i / n - 1)
    letters.insert(letters.begin(), k_letters[static_cast<size_t>(i % n)]);
  return letters;
}

std::string square_name(int row, int column) {
  return row_letters(row) + std::to_string(column + 1);
}

std::optional<std::string> square_at(const Grid& grid, cv::Point2d p_board) {
  const double x = (p_board.x - grid.frame.x) / grid.frame.width,
               y = (p_board.y - grid.frame.y) / grid.frame.height;
  if (x < 0 || x > 1 || y < 0 || y > 1) return std::nullopt;
  const int column = std::min(static_cast<int>(x * grid.columns), grid.columns - 1);
  const int row = std::min(static_cast<int>(y * grid.rows), grid.rows - 1);
  return square_name(row, column);
}

cv::Rect2d square_rect(const Grid& grid, int row, int column) {
  const double w = grid.square_width(), h = grid.square_height();
  return {grid.frame.x + column * w, grid.frame.y + row * h, w, h};
}

}  // namespace verdigrid
