#include "detect/reference_colours.h"

#include <array>
#include <limits>

namespace verdigrid {
namespace {

// USGS06: R. N. Clark and others, "USGS digital spectral library splib06a", U.S. Geological Survey,
// Data Series 231, 2007 (record named). USGS07: R. F. Kokaly and others, "USGS Spectral Library
// Version 7", Data Series 1035, 2017. Summed with the CIE 1931 observer and D65.
constexpr std::array<ReferenceColour, 10> k_references{{
    {"malachite", "USGS06 HS254.3B", Residue::copper_salt, {54.71, -14.28, 6.24}},
    {"verdigris pigment", "USGS07 GDS789", Residue::copper_salt, {25.8, -31.0, -11.8}},
    {"blue-green copper mineral (chrysocolla)",
     "USGS06 HS297.3B",
     Residue::copper_salt,
     {65.47, -35.02, -18.21}},
    {"blue copper mineral (azurite)", "USGS07 WS316", Residue::copper_salt, {29.2, 8.0, -22.5}},
    {"green copper precipitate", "USGS06 SM93-14A", Residue::copper_salt, {50.83, -13.84, 20.10}},
    {"hematite", "USGS06 GDS27", Residue::rust, {30.18, 31.54, 24.86}},
    {"goethite", "USGS06 WS222", Residue::rust, {42.66, 13.00, 37.96}},
    {"lepidocrocite", "USGS06 GDS80", Residue::rust, {45.44, 21.92, 49.06}},
    {"white lead carbonate", "USGS07 GDS796", Residue::white_salt, {87.5, 0.0, 2.7}},
    {"black copper oxide film (cuprite)",
     "USGS06 HS127.3B",
     Residue::attacked_joint,
     {23.17, 0.98, 1.01}},
}};

NearestColour nearest_of(const Lab& lab, const Residue* only) {
  NearestColour best{nullptr, std::numeric_limits<double>::infinity()};
  for (const auto& r : k_references) {
    if (only != nullptr && r.residue != *only) continue;
    const double d = ciede2000(lab, r.lab);
    if (d < best.ciede2000) best = {&r, d};
  }
  return best;
}

}  // namespace

std::span<const ReferenceColour> reference_colours() { return k_references; }

NearestColour nearest_reference(const Lab& lab, Residue residue) {
  const auto own = nearest_of(lab, &residue);
  return own.reference != nullptr ? own : nearest_of(lab, nullptr);
}

}  // namespace verdigrid
