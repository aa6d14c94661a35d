// The truth of a rendered photo as text, for people and other programs.
#pragma once

#include <string>

#include "synthetic/shot.h"

namespace verdigrid::synthetic {

std::string truth_json(const BoardSpec& spec, const Truth& truth);

// Centroid table: designator,kind,package,side,x_mm,y_mm,rotation_deg,width_mm,height_mm (board
// frame, y down, rotation counter-clockwise as the front reads).
std::string parts_csv(const Truth& truth);

}  // namespace verdigrid::synthetic
