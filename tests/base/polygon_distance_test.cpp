#include "base/polygon_distance.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace verdigrid;

TEST_CASE("distances to a polygon are the shortest ones, its hole counts as outside") {
  const Polygon frame{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{{4, 4}, {4, 8}, {8, 8}, {8, 4}}}};
  CHECK(distance_to_polygon({2, 5}, frame) == 0);
  CHECK(distance_to_polygon({5, 6}, frame) == 1);  // in the hole
  CHECK(distance_to_polygon({13, 14}, frame) == 5);
  CHECK(segment_to_polygon({-5, 5}, {15, 5}, frame) == 0);  // both ends outside
  CHECK(segment_to_polygon({-5, -3}, {15, -3}, frame) == 3);
  CHECK(segment_to_polygon({5, 6}, {7, 6}, frame) == 1);
  CHECK(distance_to_polygon({1, 1}, {}) == HUGE_VAL);
}
