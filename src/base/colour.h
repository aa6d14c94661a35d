// Colour formulas: sRGB (IEC 61966-2-1), CIE XYZ, CIELAB (D65 white, 2 degree observer) and
// CIEDE2000.
//
// sRGB components are 0..1, XYZ has Y = 1 for white, Lab is L 0..100 with a and b about -128..127,
// all double; never 8-bit Lab. OpenCV's float RGB2Lab is a table that is off by up to 0.18 in a
// coordinate: use these where a figure is promised. May be called from any thread.
#pragma once

#include <array>

namespace verdigrid {

struct Rgb {
  double r = 0, g = 0, b = 0;
};
struct Xyz {
  double x = 0, y = 0, z = 0;
};
struct Lab {
  double L = 0, a = 0, b = 0;
};

// D65 as XYZ of sRGB (1,1,1) with the exact CSS Color 4 matrix (from x 0.3127, y 0.3290).
inline constexpr Xyz k_white_d65{0.9504559270516717, 1.0, 1.0890577507598784};

// Transfer function of IEC 61966-2-1 and its inverse; odd-symmetric below 0.
double linear_from_srgb(double v);
double srgb_from_linear(double v);

// linear_from_srgb(i / 255) for i 0..255.
const std::array<float, 256>& linear_from_srgb8();

Xyz xyz_from_srgb(const Rgb& c);
Rgb srgb_from_xyz(const Xyz& c);  // may lie outside 0..1 (out of gamut)

// CIE 15:2004 section 8.2.1.
Lab lab_from_xyz(const Xyz& c, const Xyz& white = k_white_d65);
Xyz xyz_from_lab(const Lab& c, const Xyz& white = k_white_d65);

Lab lab_from_srgb(const Rgb& c);
Rgb srgb_from_lab(const Lab& c);

double chroma(const Lab& c);
double hue_deg(const Lab& c);  // 0..360; 0 for a neutral colour

// CIEDE2000 colour difference, kL = kC = kH = 1. G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000
// color-difference formula: implementation notes, supplementary test data, and mathematical
// observations", Color Research & Application 30(1), 2005, 21-30.
double ciede2000(const Lab& x, const Lab& y);

// CIE 1976 difference (Euclidean).
double cie76(const Lab& x, const Lab& y);

}  // namespace verdigrid
