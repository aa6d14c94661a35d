// The layout of a rendered board, and the truth of its zones and parts.
#pragma once

#include "layout/layout.h"
#include "synthetic/shot.h"

namespace verdigrid {

// Parts with bodies, lands and negative ends; holes.
Layout layout_of(const synthetic::BoardSpec& spec, const synthetic::Board& board);

// True residue area in mm2, all classes, inside a polygon of the board frame.
double residue_mm2_in(const synthetic::Board& board, const Polygon& polygon);

// Distance in mm from a part's body or pads (their true shapes, on the pictured side) to the
// nearest residue on the board plane, by a distance transform; 0 where it lies on them.
double distance_to_residue_mm(const synthetic::Board& board, const synthetic::PlacedPart& part);

}  // namespace verdigrid
