// Regions that look like the body of a part, for photos without a layout: what lies under them, the
// photo cannot show.
//
// Only dark, colourless, evenly coloured bodies with straight edges are told apart from the board
// (chips, relays, dark connectors); cans, film capacitors and coloured sockets are not, so the
// count is a lower bound. On a board whose own solder mask is dark and colourless nothing is told
// apart.
#pragma once

#include <vector>

#include "base/geometry.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct PartLooks {
  bool is_told_apart = true;    // false: the board is as dark as its parts
  std::vector<Ring> bodies_px;  // photo px, four corners each, clockwise as seen, largest first
};

// Cost: about 50 ms for 24 megapixels on two cores. May be called from any thread.
PartLooks part_looks(const Photo& photo, const Rectification& rectification);

}  // namespace verdigrid
