// Making a layout by hand: each function returns a changed copy and leaves the given one alone, so
// the viewer can undo by keeping the old value.
//
// Errors: bad_input with a sentence for what a person can get wrong (a name that is taken, an
// outline that crosses nothing, squares that are not on the grid). May be called from any thread.
#pragma once

#include <string>
#include <vector>

#include "layout/layout.h"

namespace verdigrid {

// A zone at the end of the list. The ring is made to run clockwise; a name that is taken or empty,
// and a polygon without area, are refused.
Layout with_zone(const Layout& layout, Zone zone);

Ring rectangle_ring(cv::Point2d corner, cv::Point2d opposite_corner);

struct Square {
  int row = 0, column = 0;  // from zero
  auto operator<=>(const Square&) const = default;
};

// The square that a name like "C6" means on this grid; empty when it is not on it.
std::optional<Square> square_named(const Grid& grid, const std::string& name);

// All squares that can be reached from `start` by edges without entering a zone: squares whose
// centre lies in a zone, or outside the outline, stop the flood. Empty when `start` is one of them.
// Throws bad_input when the layout has no grid.
std::vector<Square> flooded_squares(const Layout& layout, Square start);

// The polygon that a set of squares covers, clipped to nothing; the squares must hang together by
// edges (bad_input), at least one.
Polygon squares_polygon(const Grid& grid, const std::vector<Square>& squares);

// A part at the end of the list; a designator that is taken on this layout is refused.
Layout with_part(const Layout& layout, const Part& part);

struct ArrayOptions {
  int columns = 1, rows = 1;          // 1 to 1000 each, and at most 10000 together
  cv::Point2d column_step, row_step;  // board units
  // Throws wrong_use naming the field.
  void check() const;
};

// Copies of the part in rows and columns, itself first; designators count on from its own ("C7",
// "C8", ... row by row); one that ends in no digit gets "-2", "-3". A designator that is taken is
// refused. The copies' joints have no net.
Layout with_array(const Layout& layout, const Part& first, const ArrayOptions& options);

// The layout as it is when the board is turned over about the vertical axis: x mirrored inside the
// outline's box, front and back exchanged. Twice gives the same layout.
Layout turned_over(const Layout& layout);

}  // namespace verdigrid
