#include "layout/edit.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "tests/layout/sample_layout.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

Layout plain() { return layout_over({rectangle_ring({0, 0}, {200, 150}), {}}, true); }

Zone zone(const std::string& name, const Ring& ring) {
  Zone z;
  z.name = name;
  z.polygon.outer = ring;
  return z;
}

Part part(const std::string& designator, cv::Point2d centre) {
  Part p;
  p.designator = designator;
  p.centre = centre;
  p.body = {4, 2};
  p.joints = {{"1", centre + cv::Point2d(-1, 0), 0, false}};
  return p;
}

}  // namespace

TEST_CASE("a zone is added clockwise, once per name") {
  const Layout one = with_zone(plain(), zone("Power", {{0, 0}, {0, 10}, {10, 10}}));
  CHECK(signed_area(one.zones[0].polygon.outer) == Approx(50));
  CHECK(plain().zones.empty());
  CHECK_THROWS_WITH(with_zone(one, zone("Power", rectangle_ring({0, 0}, {1, 1}))),
                    Contains("already"));
  CHECK_THROWS_WITH(with_zone(one, zone("", rectangle_ring({0, 0}, {1, 1}))),
                    Contains("needs a name"));
  CHECK_THROWS_WITH(with_zone(one, zone("B", {{0, 0}, {5, 5}, {10, 10}})), Contains("no area"));
  CHECK(rectangle_ring({5, 1}, {2, 9}) == Ring{{2, 1}, {5, 1}, {5, 9}, {2, 9}});
}

TEST_CASE("squares are found by name") {
  const Grid grid = *plain().grid;
  CHECK(square_named(grid, "C6") == Square{2, 5});
  CHECK_FALSE(square_named(grid, "C9"));
  CHECK_FALSE(square_named(grid, "I1"));
  CHECK_FALSE(square_named(grid, ""));
}

TEST_CASE("a flood of squares stops at zones and at the outline") {
  Layout layout = plain();  // 8 x 6 squares of 25 mm
  CHECK(flooded_squares(layout, {0, 0}).size() == 48);
  // A wall over column 4 (x 75 to 100), all rows: the left part has 3 columns.
  layout = with_zone(layout, zone("Wall", rectangle_ring({75, 0}, {100, 150})));
  CHECK(flooded_squares(layout, {2, 1}).size() == 18);
  CHECK(flooded_squares(layout, {2, 7}).size() == 24);
  CHECK(flooded_squares(layout, {2, 3}).empty());
  CHECK(flooded_squares(layout, {-1, 0}).empty());
  CHECK_THROWS_WITH(flooded_squares(Layout{}, {0, 0}), Contains("no grid"));
}

TEST_CASE("the polygon of squares has their area, holes included") {
  const Grid grid = *plain().grid;
  const std::vector<Square> ring{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 2}, {2, 0}, {2, 1}, {2, 2}};
  const Polygon polygon = squares_polygon(grid, ring);
  CHECK(polygon.outer.size() == 4);
  REQUIRE(polygon.holes.size() == 1);
  CHECK(area(polygon) == Approx(8 * 625));
  CHECK_FALSE(contains(polygon, {37.5, 37.5}));
  // Two squares that meet at a corner inside an L stay one ring of the right area.
  const Polygon bent = squares_polygon(grid, {{0, 0}, {0, 1}, {1, 1}, {1, 2}, {0, 3}, {0, 2}});
  CHECK(area(bent) == Approx(6 * 625));
  const Polygon corner =
      squares_polygon(grid, {{0, 0}, {1, 0}, {2, 0}, {2, 1}, {2, 2}, {1, 2}, {0, 2}, {1, 1}});
  CHECK(area(corner) == Approx(8 * 625));
  CHECK_THROWS_WITH(squares_polygon(grid, {{0, 0}, {1, 1}}), Contains("hang together"));
  CHECK_THROWS_WITH(squares_polygon(grid, {{0, 8}}), Contains("outside"));
  CHECK_THROWS(squares_polygon(grid, {}));
}

TEST_CASE("an array counts its designators on and moves its joints") {
  ArrayOptions options;
  options.columns = 3;
  options.rows = 2;
  options.column_step = {10, 0};
  options.row_step = {0, 20};
  const Layout layout = with_array(plain(), part("C07", {10, 10}), options);
  REQUIRE(layout.parts.size() == 6);
  CHECK(layout.parts[5].designator == "C12");
  CHECK(layout.parts[1].designator == "C08");
  CHECK(layout.parts[5].centre == cv::Point2d(30, 30));
  CHECK(layout.parts[5].joints[0].centre == cv::Point2d(29, 30));
  CHECK_THROWS_WITH(with_part(layout, part("C09", {1, 1})), Contains("already"));
  CHECK_THROWS_WITH(with_part(layout, part("", {1, 1})), Contains("needs a designator"));
  options.rows = 1;
  options.columns = 2;
  CHECK(with_array(plain(), part("GND", {1, 1}), options).parts[1].designator == "GND-2");
  options.columns = 0;
  CHECK_THROWS_WITH(with_array(plain(), part("C1", {1, 1}), options), Contains("columns"));
  options.columns = 2;
  options.column_step = {};
  CHECK_THROWS_WITH(with_array(plain(), part("C1", {1, 1}), options), Contains("column_step"));
}

TEST_CASE("turning a board over twice gives it back, once mirrors what is seen") {
  Layout layout = sample_layout();
  // Binary fractions, so that mirroring twice is exact.
  layout =
      layout_over({{{0, 0}, {128, 0}, {128, 96}, {0, 96}}, {{{8, 8}, {8, 16}, {16, 16}}}}, true);
  layout.parts = {part("U1", {32, 16})};
  layout.parts[0].negative_end = NegativeEnd::left;
  layout.parts[0].rotation_deg = 30;
  layout.zones = {zone("Z", {{0, 0}, {64, 0}, {64, 32}})};
  layout.zones[0].side = Side::front;
  layout.holes = {{{4, 4}, 3, false}};
  layout.reference_photos = {{"a", "", Side::front, {10, 10}, cv::Matx33d::eye(), {}}};
  const Layout over = turned_over(layout);
  CHECK(over.parts[0].side == Side::back);
  CHECK(over.parts[0].centre == cv::Point2d(96, 16));
  CHECK(over.zones[0].side == Side::back);
  CHECK(signed_area(over.outline.outer) > 0);
  // What was 3 units left of the centre on the front is now as far right.
  const cv::Point2d before = *negative_end_point(layout.parts[0]);
  const cv::Point2d after = *negative_end_point(over.parts[0]);
  CHECK_THAT(after.x, WithinAbs(128 - before.x, 1e-9));
  CHECK_THAT(after.y, WithinAbs(before.y, 1e-9));
  const cv::Point2d corner = mapped(over.reference_photos[0].board_from_photo_px, {10, 20});
  CHECK(corner == cv::Point2d(118, 20));
  Layout twice = turned_over(over);
  // Rings may start at another point, and a rotation of 0 stays 0.
  CHECK(twice.parts == layout.parts);
  CHECK(twice.holes == layout.holes);
  CHECK(twice.outline == layout.outline);
  CHECK(twice.zones == layout.zones);
}
