// Dangers that are said wherever they may apply, and what the program never gives.
#pragma once

#include <vector>

#include "plan/advice.h"
#include "plan/known.h"

namespace verdigrid {

// Every survey and plan carries it: a photo releases nothing.
Advice no_release_advice();

// Above 50 V, picture tubes, mains capacitors; empty when all are answered "no".
std::vector<Advice> high_voltage_advice(const Known& known);

// No recipe for reforming, slow mains transformers or defeated earths.
Advice no_recipe_advice();

// Dust of cadmium, lead, nests; white ceramic, oil cans, glowing dials. Lead always, since solder
// is everywhere.
std::vector<Advice> dust_advice(const Known& known);

inline constexpr double k_rail_short_ohm = 1;  // common practice, no published limit found

// Ohms of a rail to ground, measured without power; >= 0 (require). refuses: below 1 ohm, stop.
Advice rail_advice(double ohm);

}  // namespace verdigrid
