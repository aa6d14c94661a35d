// Rendered photos of one side with a close-up of it, 3 to 10 times finer, and the truth of where it
// lies.
#pragma once

#include "compare/close_up.h"
#include "synthetic/shot.h"

namespace verdigrid {

struct RenderedCloseUp {
  synthetic::BoardSpec spec;
  synthetic::Shot photo, close_up;
  double scale = 1;  // px of the close-up per px of the photo, on the board at its middle
  // Over a lattice of the close-up: its px, and where the photo shows the surface that is seen
  // there (first_px in the photo, second_px in the close-up). Tall parts stand beside their place
  // on the board's plane.
  std::vector<PointPair> seen;
  std::vector<double> height_mm;  // of each, above the board
};

// The close-up looks at a deposit of the board, or at a part where it has none, in any turn, tilted
// by up to 10 degrees, in another light, 3 to 10 times finer than the photo; both have `photo_px`.
// Same number, same pair.
RenderedCloseUp rendered_close_up(int number, cv::Size photo_px);

// How far a place puts the lattice's points from where the photo shows them, in mm at the board's
// scale. Of those on the board itself where they are a fifth at least, else of all: no one view
// holds the board and the tops of its parts, and a close-up is placed by the board.
struct CloseUpError {
  double median_mm = 0, worst_mm = 0;
  double median_of_all_mm = 0;
};
CloseUpError error_of(const cv::Matx33d& photo_from_close_up, const RenderedCloseUp& pair);

}  // namespace verdigrid
