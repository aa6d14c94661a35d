// Colours of the materials that boards and residues are made of, as diffuse albedo.
//
// Lab is CIELAB with D65 and the 2 degree observer. Where a figure was published its source stands
// beside it in materials.cpp; parts' plastics and inks are common practice, no source.
#pragma once

#include <opencv2/core.hpp>
#include <span>
#include <string_view>

#include "base/colour.h"

namespace verdigrid::synthetic {

enum class Material {
  malachite,
  chrysocolla,
  blue_salt,
  verdigris,
  mine_green,
  cuprite,
  hematite,
  goethite,
  lepidocrocite,
  rusted_tin,
  white_crust,
  lead_white,
  mineral_dust,
  galvanised,
  copper,
  aged_copper,
  gold,
  tin_lead,
  aluminium,
  nickel,
  dull_solder,
  black_joint,
  laminate,
  phenolic,
  film_brown,
  film_dark,
  flux_amber,
  glue_pale,
  black_plastic,
  dark_grey_plastic,
  beige_plastic,
  white_plastic,
  paper,
  silkscreen,
};

Lab lab_of(Material m);
cv::Vec3f linear_bgr(const Lab& lab);  // clipped to 0..1
cv::Vec3f linear_bgr(Material m);
cv::Vec3f linear_bgr_of_srgb(int r, int g, int b);  // 8-bit sRGB to linear

// How a surface answers light.
struct Surface {
  cv::Vec3f bgr{0.5f, 0.5f, 0.5f};  // linear
  float gloss = 0.2f;               // 0 matt .. 1 mirror
  float metal = 0;                  // 0 or 1, mixed at edges
};

}  // namespace verdigrid::synthetic
