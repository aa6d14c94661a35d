#include "base/colour.h"

#include <cmath>
#include <numbers>

namespace verdigrid {

namespace {

constexpr double k_deg = std::numbers::pi / 180;
constexpr double k_epsilon = 216.0 / 24389.0;  // CIE 15:2004, exact form of 0.008856
constexpr double k_kappa = 24389.0 / 27.0;     // exact form of 903.3

double lab_f(double t) { return t > k_epsilon ? std::cbrt(t) : (k_kappa * t + 16) / 116; }
double lab_f_inverse(double f) {
  return f * f * f > k_epsilon ? f * f * f : (116 * f - 16) / k_kappa;
}

double hue_of(double b, double a) {
  if (a == 0 && b == 0) return 0;
  const double h = std::atan2(b, a) / k_deg;
  return h < 0 ? h + 360 : h;
}

const std::array<float, 256> k_linear_from_srgb8 = [] {
  std::array<float, 256> t{};
  for (size_t i = 0; i < t.size(); ++i)
    t[i] = static_cast<float>(linear_from_srgb(static_cast<double>(i) / 255));
  return t;
}();

}  // namespace

double linear_from_srgb(double v) {
  const double m = std::abs(v);
  return std::copysign(m <= 0.04045 ? m / 12.92 : std::pow((m + 0.055) / 1.055, 2.4), v);
}

double srgb_from_linear(double v) {
  const double m = std::abs(v);
  return std::copysign(m <= 0.0031308 ? m * 12.92 : 1.055 * std::pow(m, 1 / 2.4) - 0.055, v);
}

const std::array<float, 256>& linear_from_srgb8() { return k_linear_from_srgb8; }

// Matrices of CSS Color 4 (W3C), the exact rationals of the sRGB primaries with D65 = (0.3127,
// 0.3290).
Xyz xyz_from_srgb(const Rgb& c) {
  const double r = linear_from_srgb(c.r), g = linear_from_srgb(c.g), b = linear_from_srgb(c.b);
  return {506752.0 / 1228815 * r + 87881.0 / 245763 * g + 12673.0 / 70218 * b,
          87098.0 / 409605 * r + 175762.0 / 245763 * g + 12673.0 / 175545 * b,
          7918.0 / 409605 * r + 87881.0 / 737289 * g + 1001167.0 / 1053270 * b};
}

Rgb srgb_from_xyz(const Xyz& c) {
  return {srgb_from_linear(12831.0 / 3959 * c.x - 329.0 / 214 * c.y - 1974.0 / 3959 * c.z),
          srgb_from_linear(-851781.0 / 878810 * c.x + 1648619.0 / 878810 * c.y +
                           36519.0 / 878810 * c.z),
          srgb_from_linear(705.0 / 12673 * c.x - 2585.0 / 12673 * c.y + 705.0 / 667 * c.z)};
}

Lab lab_from_xyz(const Xyz& c, const Xyz& white) {
  const double fx = lab_f(c.x / white.x), fy = lab_f(c.y / white.y), fz = lab_f(c.z / white.z);
  return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Xyz xyz_from_lab(const Lab& c, const Xyz& white) {
  const double fy = (c.L + 16) / 116;
  return {white.x * lab_f_inverse(fy + c.a / 500), white.y * lab_f_inverse(fy),
          white.z * lab_f_inverse(fy - c.b / 200)};
}

Lab lab_from_srgb(const Rgb& c) { return lab_from_xyz(xyz_from_srgb(c)); }
Rgb srgb_from_lab(const Lab& c) { return srgb_from_xyz(xyz_from_lab(c)); }

double chroma(const Lab& c) { return std::hypot(c.a, c.b); }
double hue_deg(const Lab& c) { return hue_of(c.b, c.a); }

double ciede2000(const Lab& x, const Lab& y) {
  // Equation numbers of Sharma, Wu, Dalal 2005.
  const double mean_c = (chroma(x) + chroma(y)) / 2;  // (2), (3)
  const double c7 = std::pow(mean_c, 7),
               g = 0.5 * (1 - std::sqrt(c7 / (c7 + 6103515625.0)));  // (4); 25^7
  const double ax = (1 + g) * x.a, ay = (1 + g) * y.a;               // (5)
  const double cx = std::hypot(ax, x.b), cy = std::hypot(ay, y.b);   // (6)
  const double hx = hue_of(x.b, ax), hy = hue_of(y.b, ay);           // (7)
  const bool neutral = cx * cy == 0;
  double dh = 0;  // (10)
  if (!neutral) {
    dh = hy - hx;
    if (dh > 180) dh -= 360;
    if (dh < -180) dh += 360;
  }
  const double dL = y.L - x.L, dC = cy - cx,
               dH = 2 * std::sqrt(cx * cy) * std::sin(dh / 2 * k_deg);  // (8), (9), (11)
  const double mL = (x.L + y.L) / 2, mC = (cx + cy) / 2;                // (12), (13)
  double mh = hx + hy;                                                  // (14)
  if (!neutral) {
    if (std::abs(hx - hy) > 180) mh += mh < 360 ? 360 : -360;
    mh /= 2;
  }
  const double t = 1 - 0.17 * std::cos((mh - 30) * k_deg) + 0.24 * std::cos(2 * mh * k_deg) +
                   0.32 * std::cos((3 * mh + 6) * k_deg) -
                   0.20 * std::cos((4 * mh - 63) * k_deg);                             // (15)
  const double turn = 30 * std::exp(-std::pow((mh - 275) / 25, 2));                    // (16)
  const double mc7 = std::pow(mC, 7), rc = 2 * std::sqrt(mc7 / (mc7 + 6103515625.0));  // (17)
  const double l50 = (mL - 50) * (mL - 50);
  const double sl = 1 + 0.015 * l50 / std::sqrt(20 + l50), sc = 1 + 0.045 * mC,
               sh = 1 + 0.015 * mC * t;                // (18)-(20)
  const double rt = -std::sin(2 * turn * k_deg) * rc;  // (21)
  const double l = dL / sl, c = dC / sc, h = dH / sh;
  return std::sqrt(l * l + c * c + h * h + rt * c * h);  // (22)
}

double cie76(const Lab& x, const Lab& y) { return std::hypot(x.L - y.L, x.a - y.a, x.b - y.b); }

}  // namespace verdigrid
