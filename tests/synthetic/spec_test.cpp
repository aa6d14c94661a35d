#include "synthetic/spec.h"

#include <catch2/catch.hpp>

#include "base/geometry.h"
#include "synthetic/generate.h"
#include "synthetic/strokes.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;
using Catch::Matchers::WithinAbs;

// JEDEC MS-001 (dual in-line, 0.300 inch): 2.54 mm along a row, 7.62 mm between rows; MS-012 (small
// outline): 1.27 mm. From memory.
TEST_CASE("leads of chips keep the pitch of their standard") {
  const auto dip = pads_of(part(Kind::dip, "dip-14", "U1", {50, 40}, 0));
  REQUIRE(dip.size() == 14);
  CHECK_THAT(cv::norm(dip[1].centre_mm - dip[0].centre_mm), WithinAbs(2.54, 1e-9));
  CHECK_THAT(cv::norm(dip[13].centre_mm - dip[0].centre_mm), WithinAbs(7.62, 1e-9));
  CHECK(dip[0].is_through);
  const auto soic = pads_of(part(Kind::soic, "soic-14", "U2", {50, 40}, 0));
  CHECK_THAT(cv::norm(soic[1].centre_mm - soic[0].centre_mm), WithinAbs(1.27, 1e-9));
  CHECK_FALSE(soic[0].is_through);
}

TEST_CASE("rotation is counter-clockwise as the front reads and mirrored for parts on the back") {
  const PlacedPart up = part(Kind::axial_can, "axial-8x20", "C1", {50, 40}, 90);
  CHECK_THAT(negative_end_mm(up).y, WithinAbs(30, 1e-9));  // right turned to the top, y down
  const PlacedPart back = part(Kind::axial_can, "axial-8x20", "C2", {50, 40}, 0, Side::back);
  CHECK_THAT(negative_end_mm(back).x, WithinAbs(40, 1e-9));  // right as the back reads
}

TEST_CASE("every package of every kind has a body and its leads near it") {
  for (int k = 0; k <= static_cast<int>(Kind::label); ++k) {
    const auto kind = static_cast<Kind>(k);
    const auto names = package_names(kind);
    CAPTURE(name(kind));
    REQUIRE_FALSE(names.empty());
    for (const std::string& n : names) {
      const PlacedPart p = part(kind, n, "X1", {60, 60}, 270);
      CHECK(area({body_ring(p), {}}) > 0);
      CHECK(signed_area(body_ring(p)) > 0);
      for (const Pad& pad : pads_of(p)) CHECK(cv::norm(pad.centre_mm - p.centre_mm) < 40);
    }
  }
}

TEST_CASE("random boards are valid and their parts do not overlap on one side") {
  for (std::uint64_t seed = 100; seed < 130; ++seed) {
    const BoardSpec b = random_board(seed);
    CAPTURE(seed);
    CHECK_NOTHROW(b.check());
    CHECK(b.parts.size() > 8);
    for (size_t i = 0; i < b.parts.size(); ++i)
      for (size_t k = i + 1; k < b.parts.size(); ++k) {
        const cv::Rect2d both =
            bounding_box(body_ring(b.parts[i])) & bounding_box(body_ring(b.parts[k]));
        CHECK(both.area() < 1e-6);
      }
  }
}

TEST_CASE("random cameras are valid") {
  for (std::uint64_t seed = 0; seed < 200; ++seed)
    CHECK_NOTHROW(random_camera(seed, {640, 480}).check());
}

TEST_CASE("letters are as tall as asked and centred") {
  double low = 1e9, high = -1e9, left = 1e9, right = -1e9;
  for (const auto& line : text_strokes("H8", 3))
    for (const cv::Point2d p : line) {
      low = std::min(low, p.y);
      high = std::max(high, p.y);
      left = std::min(left, p.x);
      right = std::max(right, p.x);
    }
  CHECK_THAT(high - low, WithinAbs(3, 1e-9));
  CHECK_THAT(low + high, WithinAbs(0, 1e-9));
  CHECK_THAT(right - left, WithinAbs(text_width("H8", 3), 1e-9));
  CHECK(text_strokes("", 3).empty());
}
