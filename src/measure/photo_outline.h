// Shapes of the board as they lie in the photo, and the part of the board that the photo covers.
//
// A straight edge on the board is curved in a photo with lens distortion: it is cut into short
// pieces first. Pure; may be called from any thread.
#pragma once

#include "rectify/rectification.h"

namespace verdigrid {

// A polygon of the board frame in photo px, cut to the photo (whole-pixel borders: -0.5 to width -
// 0.5). Empty when nothing of it is in the photo.
Polygon photo_polygon(const Rectification& rectification, const Polygon& polygon_board);

// The board's outline, or the photo's frame where the rectification knows none; board frame.
Polygon measured_outline(const Rectification& rectification);

// The part of `polygon_board` that lies in the photo, board frame. The same polygon when all of it
// does.
Polygon part_in_photo(const Rectification& rectification, const Polygon& polygon_board);

}  // namespace verdigrid
