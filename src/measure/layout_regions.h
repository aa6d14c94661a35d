// The zones and parts of a layout as pixels of one photo.
//
// Only what shows on the photo's side: zones of that side or of both, bodies and lands of that
// side's parts, and through-hole lands of the other side's parts. Immutable values.
#pragma once

#include <vector>

#include "layout/layout.h"
#include "measure/label_blocks.h"
#include "measure/photo_outline.h"
#include "measure/polygon_rows.h"
#include "measure/reach_options.h"

namespace verdigrid {

struct PartRegion {
  size_t part = 0;                  // index in the layout
  PolygonRows body;                 // empty on the other side
  PolygonRows touch;                // body and lands
  PolygonRows near;                 // the same, grown by the creep distance, where labels may lie
  std::vector<PolygonRows> joints;  // lands grown by it, of those where labels may lie
  int joints_shown = 0;             // lands of which something is in the photo
};

struct ZoneRegion {
  size_t zone = 0;  // index in the layout
  PolygonRows rows;
};

struct LayoutRegions {
  std::vector<ZoneRegion> zones;
  std::vector<PartRegion> parts;
};

// Zones are clipped by the board's outline. What is grown by the creep distance is only looked up
// in the labels, so it is left out where there are none: on most boards, for most parts. Throws
// Error{wrong_use} when the layout is in mm and the photo has no scale, or the other way round.
LayoutRegions layout_regions(const Layout& layout, const Rectification& rectification,
                             const PhotoShapes& shapes, const PolygonRows& outline,
                             const LabelBlocks& blocks, const ReachOptions& options);

// A convex ring grown by `distance` on all sides, round at its corners (chords of 22.5 degrees, so
// at most 2 % of the distance short).
Ring grown(const Ring& convex, double distance);

// A ring of 16 points with the area of the circle.
Ring circle(cv::Point2d centre, double diameter);

}  // namespace verdigrid
