// The steps that paint a board, from the laminate up. Internal to the renderer.
#pragma once

#include "synthetic/art.h"
#include "synthetic/canvas.h"

namespace verdigrid::synthetic {

struct MaskLook {
  cv::Vec3f over_laminate, over_copper;  // linear
  float gloss = 0.5f;
};
MaskLook mask_look(const BoardSpec& spec, Side side);

// Laminate, copper, solder mask, printing, holes.
void paint_ground(Canvas& canvas, const BoardSpec& spec, const Art& art);

// Solder and leads in the pads of fitted parts, bare pads of the others.
void paint_joints(Canvas& canvas, const BoardSpec& spec);

void paint_part(Canvas& canvas, const BoardSpec& spec, const PlacedPart& part);

// Deposits that lie under the parts (film, eaten copper, attacked joints, creep) and on them.
void paint_low_deposit(Canvas& canvas, const BoardSpec& spec, const Art& art, const Deposit& d);
void paint_high_deposit(Canvas& canvas, const BoardSpec& spec, const Art& art, const Deposit& d);

// Flux, glue, dust, fingerprints, scratches: no residue.
void paint_flux(Canvas& canvas, const BoardSpec& spec);
void paint_dirt(Canvas& canvas, const BoardSpec& spec);

}  // namespace verdigrid::synthetic
