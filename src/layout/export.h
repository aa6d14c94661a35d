// A layout for other programs and for paper: centroid table and drawing. The layout file itself is
// layout/layout_json.h.
//
// Numbers have a decimal point whatever the locale. May be called from any thread.
#pragma once

#include <string>

#include "layout/layout.h"

namespace verdigrid {

// One row per part: Designator, Value, Package, Kind, Mid X, Mid Y, Rotation, Side, Width, Height,
// Shape; lengths in mm (or board px, said in the header), x right, y up from the outline's lower
// left corner, as placement machines have it; rotation counter-clockwise as the front reads. UTF-8,
// comma, quoted where needed, LF.
std::string centroid_csv(const Layout& layout);

enum class DrawingView { front, back };  // back: as the back reads, x mirrored

struct DrawingOptions {
  DrawingView view = DrawingView::front;
  double margin = 12;             // board units around the outline, room for the letters; >= 0
  bool draws_other_side = false;  // parts of the hidden side too, dashed
  void check() const;             // throws wrong_use naming the field
};

// Standalone SVG 1.1, true size in mm when the layout has mm: outline, grid with letters and
// numbers, zones with hatch and name, parts with designator and negative end, notes. Black on
// white, readable without colour.
std::string drawing_svg(const Layout& layout, const DrawingOptions& options = {});

}  // namespace verdigrid
