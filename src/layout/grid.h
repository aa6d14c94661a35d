// The reference grid over a board: lettered rows, numbered columns, one name per place on both
// sides.
//
// ISO 5457:1999 manner: letters run top to bottom without I and O (after Z: AA, AB, ...), numbers
// left to right from 1, even counts. Board frame as in rectify/rectification.h: units mm, or board
// px without scale.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>

namespace verdigrid {

struct Grid {
  cv::Rect2d frame;  // bounding box of the outline, board frame
  int columns = 0;
  int rows = 0;
  bool has_mm = false;

  double square_width() const { return frame.width / columns; }
  double square_height() const { return frame.height / rows; }
  bool operator==(const Grid&) const = default;
};

// s = clamp(longest side / 8, 15, 40) mm; columns and rows = side / s rounded up to an even number.
// Without mm: 8 columns over the longer side. The frame must have positive size (require).
Grid grid_over(const cv::Rect2d& frame, bool has_mm);

// 0 -> "A" ... 7 -> "H", 8 -> "J", 12 -> "N", 13 -> "P", 23 -> "Z", 24 -> "AA".
std::string row_letters(int row);
std::string square_name(int row, int column);  // zero-based -> "C6"
std::optional<std::string> square_at(const Grid& grid,
                                     cv::Point2d p_board);  // empty outside the frame
cv::Rect2d square_rect(const Grid& grid, int row, int column);

}  // namespace verdigrid
