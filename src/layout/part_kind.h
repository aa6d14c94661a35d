// What a part is, as far as the job needs it: which parts leak, which must come off before a bath,
// which hide what lies under them.
//
// The texts are those of the layout file and of every table. May be called from any thread.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace verdigrid {

enum class PartKind {
  unknown,
  aluminium_smd,     // aluminium electrolytic, upright can on a square base
  aluminium_radial,  // aluminium electrolytic, both leads at one end
  aluminium_axial,   // aluminium electrolytic, one lead at each end
  tantalum,
  film_suppression,  // film capacitor across or from the mains (classes X and Y of IEC 60384-14)
  capacitor,         // any other: ceramic, film, mica
  resistor,
  resistor_array,
  inductor,
  transformer,
  diode,
  led,
  transistor,
  ic,
  battery,
  connector,
  socket,
  crystal,
  relay,
  switch_,
  mems,
  fuse,
  potentiometer,
  label,
  hole,  // mounting hole
  mark,  // fiducial, printed mark, test point: no body
};

// "aluminium-smd", "film-suppression", "ic", "switch" ...
const char* name(PartKind kind);
std::optional<PartKind> part_kind_named(std::string_view text);
const std::vector<PartKind>& part_kinds();  // all, in the order above

// May hold electrolyte that leaks with age: the three aluminium kinds and batteries.
bool may_leak(PartKind kind);

// Chemistry of a battery; what a leak of it is treated with is decided elsewhere.
enum class Chemistry {
  unknown,
  nickel_cadmium,
  nickel_metal_hydride,
  alkaline,
  zinc_carbon,
  lead_acid,
  lithium_primary,
  lithium_ion,
  silver_oxide,
};
const char* name(Chemistry chemistry);  // "nickel-cadmium" ...
std::optional<Chemistry> chemistry_named(std::string_view text);

// Kind by the letters of a reference designator (IEEE 315-1975, clause 22, class designation
// letters: C capacitor, R resistor, U integrated circuit, Y crystal ...), helped by value and
// package where they are plain ("CP_Radial", "32.768kHz", "CR2032"). unknown where nothing fits.
PartKind likely_kind(std::string_view designator, std::string_view value, std::string_view package);

}  // namespace verdigrid
