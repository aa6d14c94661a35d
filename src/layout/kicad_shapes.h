// Drawn shapes of KiCad board files: lines, rectangles, circles, arcs (centre and angle up to 2020,
// three points since 2021), polygons and Bezier curves, of boards (gr_) and footprints (fp_).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "layout/outline_join.h"
#include "layout/s_expression.h"

namespace verdigrid {

// Text of the node's "layer" child; empty when it has none.
std::string layer_of(const SNode& node);

// The shape as polylines in the coordinates it is written in, within 0.01 mm; empty for a node that
// is no shape. Throws bad_input with the line when a shape lacks a point.
std::vector<Polyline> shape_lines(const SNode& node, std::string_view where);

double circle_diameter(const SNode& node);  // 0 when the node is no circle

}  // namespace verdigrid
