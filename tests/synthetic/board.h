// An invented board as pictures on the board plane, with the exact truth of what lies on it.
//
// All pictures have one size and lie in the board frame (the back too: it is stored as the front
// reads). Pixel (i, j) covers the square from origin_mm + (i, j) / px_per_mm on; they reach past
// the outline by a margin, since connectors stand over the edge. Cost: about 60 ms for 150 x 100 mm
// at 5 px/mm, in proportion to the pixels. May be called from any thread.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "layout/grid.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

using AreaByClass = std::array<double, k_residue_count>;  // mm2, index = residue id; [0] unused

struct SquareArea {
  std::string name;     // "C6"
  double area_mm2 = 0;  // of the square inside the outline
  AreaByClass by_class{};
};

struct RoundHole {
  cv::Point2d centre_mm;
  double diameter_mm = 0;
  bool is_plated = true;
};

struct ReachedPart {
  std::string designator;
  AreaByClass by_class{};  // of residue on its body and its pads
};

struct Board {
  BoardSpec spec;
  double px_per_mm = 0;
  cv::Point2d origin_mm;  // of the pictures' top-left corner
  cv::Mat albedo;         // CV_16UC3, BGR, linear light, 65535 = all light sent back
  cv::Mat finish;         // CV_8UC2: gloss (255 = mirror) and metal (255 = bare metal)
  cv::Mat height_mm;      // CV_32FC1 above the board's surface; negative in holes and past the edge
  cv::Mat labels;         // CV_8UC1, residue ids, of what is seen from straight above
  Polygon outline_mm;
  std::vector<RoundHole> holes;
  Grid grid;
  AreaByClass area_mm2{};  // exact: pixels of `labels` times the area of one
  std::vector<SquareArea> squares;
  std::vector<ReachedPart> reached;  // fitted parts with residue on body or pads

  double residue_area_mm2() const;  // all classes together
};

// px_per_mm 1 to 60. Throws Error{wrong_use} for a spec that does not hold together.
Board render_board(const BoardSpec& spec, double px_per_mm);

// What changed between two renderings of one board type at one scale, exact on the board plane.
struct ChangeTruth {
  double removed_mm2 = 0, remaining_mm2 = 0, new_mm2 = 0;
  std::vector<std::string> parts_gone, parts_added;  // designators
};
ChangeTruth change_between(const Board& before, const Board& after);

}  // namespace verdigrid::synthetic
