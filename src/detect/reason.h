// The reason of a finding in words: colour, surface, what it lies on, how far it is from the
// board's own colour and from the nearest published substance.
#pragma once

#include <string>

#include "base/colour.h"
#include "detect/residue.h"

namespace verdigrid {

struct Evidence {
  Lab lab;                  // mean of the finding, white-balanced
  Lab own_mask;             // the board's most common colour
  double fine_texture = 0;  // rms lightness of detail below about 1.5 working px
  double lightness_sd = 0;  // over the whole finding
  double glossy_share = 0;  // 0..1 of it that is near white
  double metal_share = 0;   // 0..1 of its surroundings that look like bare metal
};

// "teal", "green", "blue-green", "brown", "white", "grey" ...: our own names for hue and chroma.
std::string colour_word(const Lab& lab);

std::string reason_of(Residue residue, const Evidence& evidence);

}  // namespace verdigrid
