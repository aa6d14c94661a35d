// Loose edge pieces (lines, arcs, circles) joined to closed rings, and rings sorted into an outline
// with holes.
//
// Any unit; joined ends may lie `gap` apart. May be called from any thread.
#pragma once

#include <string>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

// Open or closed piece of an edge as a polyline.
using Polyline = std::vector<cv::Point2d>;

// Circular arc through three points, from the first to the last, as a polyline that strays at most
// `sag` from it; a straight line when the three are on one line.
Polyline arc_through(cv::Point2d start, cv::Point2d middle, cv::Point2d end, double sag);

// Arc about a centre from `start` by `angle_rad` (positive turns x towards y).
Polyline arc_about(cv::Point2d centre, cv::Point2d start, double angle_rad, double sag);

struct JoinedOutline {
  Polygon outline;           // the largest ring and the rings inside it; empty: none closed
  std::vector<Ring> others;  // further outer rings, largest first
  std::vector<double> gaps;  // of pieces that were closed by a straight line, largest first
  size_t loose = 0;          // pieces that close nothing
};

// At most 20000 pieces (require). Chains that do not close are closed by a straight line when the
// gap is below a tenth of their length and no closed ring is larger; else they count as loose.
JoinedOutline joined_outline(const std::vector<Polyline>& pieces, double gap);

}  // namespace verdigrid
