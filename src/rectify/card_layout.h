// The scale card's geometry, shared by the page that is printed and the reader of photos.
//
// Card frame: origin at the top-left corner of the card, x right, y down, mm. Four ArUco markers
// (S. Garrido-Jurado and others, "Automatic generation and detection of highly reliable fiducial
// markers under occlusion", Pattern Recognition 47(6), 2014, 2280-2292) of dictionary 4x4_50 sit in
// its corners; ids tell the corner.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

namespace verdigrid {

struct CardMarker {
  int id = 0;
  cv::Rect2d square_mm;  // outer edge of the black border
};

struct CardLayout {
  cv::Size2d size_mm{180, 70};  // cut line
  double marker_mm = 20;
  std::array<CardMarker, 4> markers;  // top left, top right, bottom right, bottom left
  cv::Point2d bar_start_mm;           // left end of the 100 mm bar, at its upper edge
  double bar_mm = 100;
  double bar_height_mm = 4;
};

CardLayout card_layout();

// The black and white cells of a marker, row by row from its top left, 6 x 6 with the border; true:
// black. Throws Error{internal} for an id that the card does not carry.
std::vector<bool> marker_cells(int id);
inline constexpr int k_marker_cells = 6;  // per side, border included

}  // namespace verdigrid
