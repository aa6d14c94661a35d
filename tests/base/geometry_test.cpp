#include "base/geometry.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {
constexpr double k_rounding = 1e-9;
const Ring k_square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
}  // namespace

// The two pentagon examples of the shoelace formula (encyclopaedia examples; from memory,
// recomputed by hand).
TEST_CASE("the shoelace area of two known pentagons is right") {
  CHECK_THAT(std::abs(signed_area({{1, 6}, {3, 1}, {7, 2}, {4, 4}, {8, 5}})),
             WithinAbs(16.5, k_rounding));
  CHECK_THAT(std::abs(signed_area({{3, 4}, {5, 11}, {12, 8}, {9, 5}, {5, 6}})),
             WithinAbs(30, k_rounding));
}

TEST_CASE("a ring that runs clockwise as seen has positive area") {
  CHECK(signed_area(k_square) == 100);
  CHECK(signed_area(clockwise({{0, 0}, {0, 10}, {10, 10}, {10, 0}})) == 100);
}

TEST_CASE("a hole is taken out of area and of containment") {
  const Polygon p{k_square, {{{4, 4}, {6, 4}, {6, 6}, {4, 6}}}};
  CHECK(area(p) == 96);
  CHECK(contains(p, {1, 1}));
  CHECK_FALSE(contains(p, {5, 5}));
  CHECK_FALSE(contains(p, {11, 5}));
  CHECK(contains(p, {0, 5}));
  CHECK(area(Polygon{}) == 0);
  CHECK_FALSE(contains(Polygon{}, {0, 0}));
}

TEST_CASE("clipping keeps the part inside the box") {
  CHECK(area(clipped(Polygon{k_square, {}}, {5, 5, 10, 10})) == 25);
  CHECK(clipped(k_square, {20, 20, 5, 5}).empty());
  CHECK(area(clipped(Polygon{k_square, {{{4, 4}, {6, 4}, {6, 6}, {4, 6}}}}, {0, 0, 5, 10})) == 48);
}

// Unit square to a quadrilateral by Heckbert's formula (P. Heckbert, "Fundamentals of texture
// mapping and image warping", 1989; from memory).
TEST_CASE("a homography from a quad takes the unit square's centre where Heckbert's formula does") {
  const auto h = homography_from_quad({{0, 0}, {1, 0}, {1, 1}, {0, 1}},
                                      {{120, 80}, {1010, 140}, {940, 760}, {60, 690}});
  REQUIRE(h);
  const cv::Point2d c = mapped(*h, {0.5, 0.5});
  CHECK_THAT(c.x, WithinAbs(528.505, 5e-4));
  CHECK_THAT(c.y, WithinAbs(418.760, 5e-4));
}

TEST_CASE("a degenerate quad has no homography") {
  CHECK_FALSE(
      homography_from_quad({{0, 0}, {1, 0}, {2, 0}, {3, 0}}, {{0, 0}, {1, 0}, {1, 1}, {0, 1}}));
}

TEST_CASE("the local area scale is the area of a small mapped square") {
  const auto h = homography_from_quad({{0, 0}, {1, 0}, {1, 1}, {0, 1}},
                                      {{120, 80}, {1010, 140}, {940, 760}, {60, 690}});
  REQUIRE(h);
  const double e = 1e-4;
  const Ring small = mapped(
      *h, Ring{{0.3 - e, 0.6 - e}, {0.3 + e, 0.6 - e}, {0.3 + e, 0.6 + e}, {0.3 - e, 0.6 + e}});
  CHECK_THAT(local_area_scale(*h, {0.3, 0.6}), WithinAbs(signed_area(small) / (4 * e * e), 1));
}
