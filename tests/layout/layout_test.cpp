#include "layout/layout.h"

#include <catch2/catch.hpp>

#include "tests/layout/sample_layout.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_rounding = 1e-9;

void check_point(cv::Point2d p, cv::Point2d truth) {
  CHECK_THAT(p.x, WithinAbs(truth.x, k_rounding));
  CHECK_THAT(p.y, WithinAbs(truth.y, k_rounding));
}

Part box(double rotation_deg, Side side) {
  Part part;
  part.designator = "U1";
  part.centre = {50, 40};
  part.body = {20, 6};
  part.rotation_deg = rotation_deg;
  part.side = side;
  part.negative_end = NegativeEnd::left;
  return part;
}

}  // namespace

TEST_CASE("a part turns counter-clockwise as the front reads") {
  check_point(*negative_end_point(box(0, Side::front)), {40, 40});
  // Left goes down when the part is turned counter-clockwise by 90 degrees.
  check_point(*negative_end_point(box(90, Side::front)), {50, 50});
  // On the back the part is seen mirrored: its left is the front's right.
  check_point(*negative_end_point(box(0, Side::back)), {60, 40});
  check_point(*negative_end_point(box(90, Side::back)), {50, 30});
}

TEST_CASE("a body ring runs clockwise and has the body's area") {
  for (Side side : {Side::front, Side::back})
    for (double angle : {0.0, 33.0, 270.0}) {
      const Ring ring = body_ring(box(angle, side));
      CHECK_THAT(signed_area(ring), WithinAbs(120, k_rounding));
      Part can = box(angle, side);
      can.shape = BodyShape::round;
      can.body = {10, 10};
      CHECK_THAT(signed_area(body_ring(can)), WithinAbs(25 * CV_PI, k_rounding));
    }
  const cv::Rect2d turned = bounding_box(body_ring(box(90, Side::front)));
  CHECK_THAT(turned.width, WithinAbs(6, k_rounding));
  CHECK_THAT(turned.height, WithinAbs(20, k_rounding));
}

TEST_CASE("what is not known is empty") {
  Part part = box(0, Side::front);
  part.body = {};
  CHECK(body_ring(part).empty());
  check_point(*negative_end_point(part), part.centre);
  part.negative_end = NegativeEnd::unknown;
  CHECK_FALSE(negative_end_point(part));
  CHECK(layout_box(Layout{}).empty());
}

TEST_CASE("a layout over an outline has the grid of its bounding box") {
  const Layout layout = layout_over({{{0, 0}, {200, 0}, {200, 150}, {0, 150}}, {}}, true);
  REQUIRE(layout.grid);
  CHECK(layout.grid->columns == 8);
  CHECK(layout.grid->rows == 6);
  CHECK_THROWS(layout_over({}, true));
  check_layout(layout);
}

TEST_CASE("the kind of a part is guessed from what is plain only") {
  CHECK(likely_kind("R12", "10k", "") == PartKind::resistor);
  CHECK(likely_kind("C3", "100n", "C_0805") == PartKind::capacitor);
  CHECK(likely_kind("C3", "100u", "CP_Radial_D5.0mm") == PartKind::aluminium_radial);
  CHECK(likely_kind("C3", "100u", "CP_Elec_5x5.3") == PartKind::aluminium_smd);
  CHECK(likely_kind("X1", "14.31818MHz", "") == PartKind::crystal);
  CHECK(likely_kind("X1", "", "") == PartKind::unknown);
  CHECK(likely_kind("BT1", "", "") == PartKind::battery);
  CHECK(likely_kind("RN4", "", "") == PartKind::resistor_array);
  CHECK(likely_kind("", "", "") == PartKind::unknown);
  CHECK(likely_kind("QX7", "", "") == PartKind::unknown);
  CHECK(may_leak(PartKind::battery));
  CHECK_FALSE(may_leak(PartKind::tantalum));
  for (PartKind kind : part_kinds()) CHECK(part_kind_named(name(kind)) == kind);
}
