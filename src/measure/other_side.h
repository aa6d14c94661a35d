// Findings on vias and through-holes: what lies there may go through, so the same place on the
// other side must be looked at.
#pragma once

#include <string>
#include <vector>

#include "detect/findings.h"
#include "layout/grid.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Layout;

struct OtherSideLook {
  int finding = 0;
  cv::Point2d at_board;  // the hole's centre: one coordinate, one square name on both sides
  std::string square;    // "C6"; empty outside the grid
  std::string hole;      // "via", "mounting hole", "joint 3 of C12"
  bool operator==(const OtherSideLook&) const = default;
};

// One per hole and finding, holes in the layout's order. `layout` in the board frame.
std::vector<OtherSideLook> other_side_looks(const Findings& findings,
                                            const Rectification& rectification,
                                            const Layout& layout, const Grid& grid);

}  // namespace verdigrid
