#include "desk/triangles.h"

#include <catch2/catch.hpp>
#include <numeric>

using namespace verdigrid;

namespace {

double area_of(const Ring& ring, const std::vector<Triangle>& triangles) {
  double sum = 0;
  for (const Triangle& t : triangles)
    sum += std::abs((ring[t[1]] - ring[t[0]]).cross(ring[t[2]] - ring[t[0]])) / 2;
  return sum;
}

const Ring k_square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
const Ring k_ell{{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}};
const Ring k_comb{{0, 0}, {9, 0}, {9, 6}, {7, 6}, {7, 2}, {5, 2},
                  {5, 6}, {3, 6}, {3, 2}, {1, 2}, {1, 6}, {0, 6}};

}  // namespace

TEST_CASE("a polygon of n points is cut into n - 2 triangles of the same area") {
  for (const Ring& ring : {k_square, k_ell, k_comb}) {
    const auto triangles = triangles_of(ring);
    CHECK(triangles.size() == ring.size() - 2);
    CHECK(area_of(ring, triangles) == Approx(std::abs(signed_area(ring))));
  }
}

TEST_CASE("no triangle leaves a concave polygon") {
  for (const Ring& ring : {k_ell, k_comb})
    for (const Triangle& t : triangles_of(ring))
      CHECK(contains({ring, {}}, (ring[t[0]] + ring[t[1]] + ring[t[2]]) * (1.0 / 3)));
}

TEST_CASE("the direction of the ring does not matter") {
  const Ring turned(k_comb.rbegin(), k_comb.rend());
  CHECK(area_of(turned, triangles_of(turned)) == Approx(std::abs(signed_area(k_comb))));
}

TEST_CASE("too few points give none, and a ring that crosses itself ends") {
  CHECK(triangles_of({}).empty());
  CHECK(triangles_of({{0, 0}, {1, 1}}).empty());
  CHECK(triangles_of({{0, 0}, {10, 10}, {10, 0}, {0, 10}}).size() == 2);
  CHECK(triangles_of({{0, 0}, {1, 0}, {2, 0}, {3, 0}}).size() == 2);
}
