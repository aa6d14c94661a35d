#include "measure/area_interval.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

TEST_CASE("independent terms add as squares and an area never falls below zero") {
  const Interval i = area_interval(100, {.scale_variance = 9, .edge_variance = 16});
  CHECK(i.value == 100);
  // 1.96 standard deviations: the 97.5 % point of the normal law (any table).
  CHECK_THAT(i.low, WithinAbs(100 - 1.96 * 5, 1e-3));
  CHECK_THAT(i.high, WithinAbs(100 + 1.96 * 5, 1e-3));
  CHECK(area_interval(1, {.edge_variance = 25}).low == 0);
}

TEST_CASE("nothing labelled may still be something missed") {
  CHECK(area_interval(0, {.scale_variance = 0.1}).high == 0);
  const Interval i =
      area_interval(0, {.label = {.log_sd = 0.3, .missed_share = 0.001}, .place_area = 500});
  CHECK(i.low == 0);
  CHECK_THAT(i.high, WithinRel(0.5, 1e-12));
}

TEST_CASE("a label error is a factor both ways, its bias taken out") {
  const LabelError error{.log_bias = std::log(1.1), .log_sd = 0.2};
  const Interval i = area_interval(110, {.label = error});
  CHECK_THAT(i.low, WithinRel(100 * std::exp(-1.96 * 0.2), 1e-4));
  CHECK_THAT(i.high, WithinRel(100 * std::exp(1.96 * 0.2), 1e-4));
}

TEST_CASE("the value always lies in its interval") {
  const Interval i = area_interval(50, {.label = {.log_bias = 2, .log_sd = 0.01}});
  CHECK(i.contains(50));
}

TEST_CASE("a negative area is a fault of ours") { CHECK_THROWS(area_interval(-1, {})); }
