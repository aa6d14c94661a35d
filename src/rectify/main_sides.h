// The four main sides of an outline: the smallest quadrilateral around it whose sides each lie
// along a straight run of the outline. That is the W x H rectangle of the board seen in
// perspective, whatever notches, chamfers, rounded corners or connector tongues the outline has.
//
// Points in px. Pure; may be called from any thread.
#pragma once

#include <optional>

#include "rectify/outline.h"

namespace verdigrid {

// Clockwise, beginning with the corner from which the walk along the first side runs most to the
// right. Empty for an outline without four usable sides (a round board, fewer than four points).
std::optional<Quad> main_sides(const Ring& outline_px);

}  // namespace verdigrid
