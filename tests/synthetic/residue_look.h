// How each residue class changes the surface under it. Internal to the renderer.
#pragma once

#include "synthetic/canvas.h"

namespace verdigrid::synthetic {

// The palette of one deposit.
struct ResidueLook {
  Residue residue = Residue::copper_salt;
  cv::Vec3f colours[3];
  float gloss = 0.1f, grain = 0.5f, lump_mm = 0.1f, strength = 1;
  std::uint32_t seed = 0;
};

ResidueLook look_of(const Deposit& deposit);

// Thickness 0 (none) to about 1 at pixel (x, y); sets the label where half or more of the pixel's
// look is the residue's.
void apply(Canvas& canvas, const ResidueLook& look, int x, int y, float thickness);

}  // namespace verdigrid::synthetic
