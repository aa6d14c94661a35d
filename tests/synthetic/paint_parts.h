// One function per look of a part, in the part's own frame. Internal to the renderer.
#pragma once

#include <string>

#include "synthetic/brush.h"
#include "synthetic/random.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

std::string part_mark(Random& random, int length);  // invented letters and digits
Surface lead_metal(Random& random);

void paint_radial_can(Brush& brush, const PlacedPart& part, Random& random);
void paint_smd_can(Brush& brush, const PlacedPart& part, Random& random);
void paint_axial_can(Brush& brush, const PlacedPart& part, Random& random);
void paint_barrel_battery(Brush& brush, const PlacedPart& part, Random& random);
void paint_coin_battery(Brush& brush, const PlacedPart& part, Random& random);
void paint_tantalum(Brush& brush, const PlacedPart& part, Random& random);
void paint_small_capacitor(Brush& brush, const PlacedPart& part, Random& random);

void paint_chip(Brush& brush, const PlacedPart& part, Random& random);  // dip, soic, plcc, qfp
void paint_socket(Brush& brush, const PlacedPart& part, Random& random);
void paint_passive(Brush& brush, const PlacedPart& part, Random& random);
void paint_metal_can(Brush& brush, const PlacedPart& part, Random& random);
void paint_header(Brush& brush, const PlacedPart& part, Random& random);
void paint_connector(Brush& brush, const PlacedPart& part, Random& random);
void paint_box_part(Brush& brush, const PlacedPart& part, Random& random);  // trimmer, relay
void paint_label(Brush& brush, const PlacedPart& part, Random& random);

}  // namespace verdigrid::synthetic
