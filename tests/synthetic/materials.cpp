#include "synthetic/materials.h"

#include <algorithm>

#include "base/error.h"

namespace verdigrid::synthetic {

namespace {

struct Entry {
  Material material;
  Lab lab;
};

// USGS-6: R. N. Clark and others, USGS Digital Spectral Library splib06a, U.S. Geological Survey,
// Data Series 231, 2007; reflectance integrated with the CIE 1931 observer and D65.
// USGS-7: R. F. Kokaly and others, USGS Spectral Library Version 7, Data Series 1035, 2017, same
// way. NK: reflectance of polished metal from n and k (P. B. Johnson, R. W. Christy, Phys. Rev. B
// 6, 4370, 1972, for copper, gold and nickel; A. D. Rakic 1995 for aluminium; A. G. Mathewson, H.
// P. Myers, Phys. Scr. 4, 291, 1971, for lead). Others: common practice, no source.
constexpr Entry k_table[] = {
    {Material::malachite, {54.71, -14.28, 6.24}},      // USGS-6 HS254.3B
    {Material::chrysocolla, {65.47, -35.02, -18.21}},  // USGS-6 HS297.3B (outside sRGB)
    {Material::blue_salt, {45.0, -8.0, -42.0}},        // vivid blue salts, no source
    {Material::verdigris, {25.8, -31.0, -11.8}},       // USGS-7 GDS789
    {Material::mine_green, {50.83, -13.84, 20.10}},    // USGS-6 SM93-14A
    {Material::cuprite, {23.17, 0.98, 1.01}},          // USGS-6 HS127.3B
    {Material::hematite, {30.18, 31.54, 24.86}},       // USGS-6 GDS27
    {Material::goethite, {42.66, 13.00, 37.96}},       // USGS-6 WS222
    {Material::lepidocrocite, {45.44, 21.92, 49.06}},  // USGS-6 GDS80
    {Material::rusted_tin, {35.7, 8.8, 12.5}},         // USGS-7 GDS378
    {Material::white_crust, {95.0, -0.3, 2.2}},        // USGS-7 sodium bicarbonate, trona
    {Material::lead_white, {87.5, 0.0, 2.7}},          // USGS-7 GDS796
    {Material::mineral_dust, {51.0, 1.0, 8.5}},        // USGS-7, two records
    {Material::galvanised, {36.0, -1.0, -2.0}},        // USGS-7
    {Material::copper, {86.05, 11.68, 13.04}},         // NK
    {Material::aged_copper, {52.0, 17.0, 26.0}},
    {Material::gold, {90.18, 4.99, 33.65}},        // NK (outside sRGB)
    {Material::tin_lead, {85.11, 0.63, -2.29}},    // NK, lead
    {Material::aluminium, {96.60, -0.20, -0.48}},  // NK
    {Material::nickel, {84.32, 0.76, 6.75}},       // NK
    {Material::dull_solder, {56.0, 0.2, 1.5}},
    {Material::black_joint, {27.0, 0.5, 2.0}},
    {Material::laminate, {62.0, -5.0, 24.0}},
    {Material::phenolic, {48.0, 13.0, 30.0}},
    {Material::film_brown, {24.0, 10.0, 19.0}},
    {Material::film_dark, {14.0, 3.0, 6.0}},
    {Material::flux_amber, {52.0, 12.0, 44.0}},
    {Material::glue_pale, {80.0, 0.0, 14.0}},
    {Material::black_plastic, {15.0, 0.2, 0.2}},
    {Material::dark_grey_plastic, {25.0, 0.4, 0.8}},
    {Material::beige_plastic, {80.0, 1.0, 12.0}},
    {Material::white_plastic, {88.0, 0.0, 4.0}},
    {Material::paper, {91.0, 0.0, 3.0}},
    {Material::silkscreen, {86.0, 0.0, 4.0}},
};

}  // namespace

Lab lab_of(Material m) {
  for (const Entry& e : k_table)
    if (e.material == m) return e.lab;
  throw Error(ErrorKind::internal, "Internal fault: a material has no colour. Please report it.");
}

cv::Vec3f linear_bgr(const Lab& lab) {
  const Rgb c = srgb_from_lab(lab);
  const auto part = [](double v) {
    return static_cast<float>(std::clamp(linear_from_srgb(v), 0.0, 1.0));
  };
  return {part(c.b), part(c.g), part(c.r)};
}

cv::Vec3f linear_bgr(Material m) { return linear_bgr(lab_of(m)); }

cv::Vec3f linear_bgr_of_srgb(int r, int g, int b) {
  const auto& t = linear_from_srgb8();
  return {t[static_cast<size_t>(b)], t[static_cast<size_t>(g)], t[static_cast<size_t>(r)]};
}

}  // namespace verdigrid::synthetic
