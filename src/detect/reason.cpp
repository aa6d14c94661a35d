#include "detect/reason.h"

#include <fmt/format.h>

#include "detect/reference_colours.h"

namespace verdigrid {
namespace {

// Limits are our own; hue angles of the names follow where sRGB's primaries and secondaries lie.
std::string neutral_word(double L) {
  if (L < 25) return "black";
  if (L < 45) return "dark grey";
  if (L < 70) return "grey";
  return L < 85 ? "pale grey" : "white";
}

std::string hue_word(double h, double L) {
  if (h < 30) return L < 45 ? "dark red" : "pink";
  if (h < 60) return L < 55 ? "red-brown" : "orange";
  if (h < 80) return L < 60 ? "brown" : "tan";
  if (h < 105) return L < 50 ? "dark olive" : "yellow";
  if (h < 135) return "yellow-green";
  if (h < 165) return "green";
  if (h < 190) return "blue-green";
  if (h < 215) return "teal";
  if (h < 245) return "cyan-blue";
  if (h < 300) return "blue";
  return h < 345 ? "violet" : "pink";
}

std::string surface_words(const Evidence& e) {
  if (e.glossy_share > 0.1) return "glossy";
  if (e.lightness_sd > 12 || e.fine_texture > 4) return "rough";
  return e.lightness_sd > 5 ? "mottled, matt" : "even, matt";
}

std::string ground_words(const Evidence& e) {
  if (e.metal_share > 0.25) return "on or beside bare metal";
  return e.metal_share > 0.05 ? "with bare metal near" : "away from bare metal";
}

}  // namespace

std::string colour_word(const Lab& lab) {
  const double c = chroma(lab);
  if (c < 5) return neutral_word(lab.L);
  const std::string hue = hue_word(hue_deg(lab), lab.L);
  return c < 11 ? "greyish " + hue : hue;
}

std::string reason_of(Residue residue, const Evidence& e) {
  const auto nearest = nearest_reference(e.lab, residue);
  return fmt::format("{}, {}, {}; {:.0f} from the board's own {}, {:.0f} from {} (CIEDE2000)",
                     colour_word(e.lab), surface_words(e), ground_words(e),
                     ciede2000(e.lab, e.own_mask), colour_word(e.own_mask), nearest.ciede2000,
                     nearest.reference->substance);
}

}  // namespace verdigrid
