// CIELAB of substances that residues are compared with, computed from published reflectance spectra
// (D65, 2 degree observer); for the words of a reason, never to name a chemistry.
#pragma once

#include <span>
#include <string_view>

#include "base/colour.h"
#include "detect/residue.h"

namespace verdigrid {

struct ReferenceColour {
  std::string_view substance;
  std::string_view source;  // of the spectrum
  Residue residue;          // the class its look goes with
  Lab lab;
};

std::span<const ReferenceColour> reference_colours();

struct NearestColour {
  const ReferenceColour* reference = nullptr;
  double ciede2000 = 0;
};

// Nearest of the references that go with `residue`, or of all when none does.
NearestColour nearest_reference(const Lab& lab, Residue residue);

}  // namespace verdigrid
