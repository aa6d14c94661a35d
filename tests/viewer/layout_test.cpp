// The layout step: zones and parts by tool, each undoable, measured at once.
#include <catch2/catch.hpp>

#include "layout/export.h"
#include "layout/layout_json.h"
#include "layout/package_table.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

// A board of 100 x 80 mm with its corners set, a layout begun on it, the layout step open.
struct Begun {
  OpenDesk open;
  Screen screen;
  Begun() {
    open.photo();
    ScaleChoice scale;
    scale.board_mm = cv::Size2d(100, 80);
    scale.corners_px = {{70, 40}, {570, 40}, {570, 440}, {70, 440}};
    open.desk.perform(SetScale{scale, "Size"});
    open.finish();
    open.desk.perform(StartLayout{});
    open.finish();
    screen.state.step = Step::layout;
    screen.frame(open.desk);
    screen.frame(open.desk);
  }
  const Layout& layout() const { return *open.desk.derived().layout; }
  void key(KeyPress k) {
    screen.frame(open.desk, {k});
    screen.perform(open);
  }
  void click_px(cv::Point2d p_px) {
    screen.click(open.desk, screen.on_screen(p_px));
    screen.perform(open);
  }
};

}  // namespace

TEST_CASE("a layout begun on the photo has its outline in mm and the grid over it") {
  Begun b;
  REQUIRE(b.open.desk.derived().layout);
  CHECK(b.layout().has_mm);
  CHECK(bounding_box(b.layout().outline.outer).width == Approx(100).margin(0.01));
  REQUIRE(b.layout().grid);
  CHECK(*b.layout().grid == grid_over({0, 0, 100, 80}, true));
}

TEST_CASE("two clicks with the rectangle make a zone that is measured at once") {
  Begun b;
  b.screen.state.layout.zone_name = "battery corner";
  b.key({GLFW_KEY_B});
  b.click_px({280, 180});
  CHECK(b.layout().zones.empty());
  b.click_px({480, 380});
  REQUIRE(b.layout().zones.size() == 1);
  CHECK(b.layout().zones[0].name == "battery corner");
  // 500 px are 100 mm: 200 px are 40 mm.
  CHECK(area(b.layout().zones[0].polygon) == Approx(1600).epsilon(0.01));
  const auto& rows = b.open.desk.derived().survey->zones.zones;
  REQUIRE(rows.size() == 1);
  // Both flagged places lie in it: 60 x 40 and 30 x 50 px, 0.04 mm2 each.
  CHECK(rows[0].affected.area.value == Approx((2400 + 1500) * 0.04).epsilon(0.02));
  b.key({GLFW_KEY_Z, true});
  CHECK(b.layout().zones.empty());
  CHECK(b.open.desk.derived().survey->zones.zones.empty());
  b.key({GLFW_KEY_Y, true});
  CHECK(b.layout().zones.size() == 1);
}

TEST_CASE("an outline is closed at its first point, or by Enter") {
  Begun b;
  b.key({GLFW_KEY_O});
  for (const cv::Point2d p : {cv::Point2d(100, 100), cv::Point2d(200, 100), cv::Point2d(150, 200)})
    b.click_px(p);
  b.click_px({100, 100});
  CHECK(b.layout().zones.size() == 1);
  for (const cv::Point2d p : {cv::Point2d(300, 100), cv::Point2d(400, 100), cv::Point2d(350, 200)})
    b.click_px(p);
  b.key({GLFW_KEY_ENTER});
  REQUIRE(b.layout().zones.size() == 2);
  CHECK(b.layout().zones[1].name == "zone 2");
}

TEST_CASE("one click with the squares makes a zone of all that is free") {
  Begun b;
  b.key({GLFW_KEY_S});
  b.click_px({300, 200});
  REQUIRE(b.layout().zones.size() == 1);
  CHECK(area(b.layout().zones[0].polygon) == Approx(8000).epsilon(0.01));
}

TEST_CASE("a stamp puts a part where it was clicked, an array counts its designators on") {
  Begun b;
  const auto& packages = package_table();
  LayoutDrafts& d = b.screen.state.layout;
  for (size_t i = 0; i < packages.size(); ++i)
    if (packages[i].name == "soic-14") d.package = i;
  d.designator = "U3";
  d.rotation_deg = 90;
  d.columns = 2;
  d.column_step = 12;
  b.key({GLFW_KEY_P});
  b.click_px({320, 240});
  REQUIRE(b.layout().parts.size() == 2);
  CHECK(b.layout().parts[0].designator == "U3");
  CHECK(b.layout().parts[1].designator == "U4");
  CHECK(b.layout().parts[0].rotation_deg == Approx(90));
  CHECK(b.layout().parts[0].centre.x == Approx(50).margin(0.2));
  CHECK(b.layout().parts[1].centre.x - b.layout().parts[0].centre.x == Approx(12));
  b.screen.click(b.open.desk, b.screen.on_screen({320, 300}));  // the same designator again
  REQUIRE(b.screen.action<AddPart>());
  b.open.desk.perform(*b.screen.action<AddPart>());
  CHECK(b.layout().parts.size() == 2);
  CHECK_THAT(b.open.desk.messages().back().sentence, Catch::Contains("U3"));
}

TEST_CASE("what was drawn stays on its pixels when the scale changes") {
  Begun b;
  b.open.desk.perform(AddZone{{"left", {rectangle_ring({10, 10}, {40, 40}), {}}}});
  b.open.finish();
  ScaleChoice scale = b.open.desk.document()->scale;
  scale.board_mm = cv::Size2d(200, 160);
  b.open.desk.perform(SetScale{scale, "Size"});
  b.open.finish();
  CHECK(area(b.layout().zones[0].polygon) == Approx(3600).epsilon(0.001));
  b.open.desk.perform(Undo{});
  b.open.finish();
  CHECK(area(b.layout().zones[0].polygon) == Approx(900).epsilon(0.001));
}

TEST_CASE("a layout kept for its type is offered, and comes back after a restart") {
  Begun b;
  b.open.desk.perform(NameLayout{"logger", "2"});
  b.open.desk.perform(AddZone{{"left", {rectangle_ring({10, 10}, {40, 40}), {}}}});
  b.open.desk.perform(KeepLayoutForType{});
  b.open.finish();
  REQUIRE(b.open.desk.kept_layouts().size() == 1);
  CHECK(b.open.desk.kept_layouts()[0].name == "logger");
  const Document before = *b.open.desk.document();

  Desk again(OpenDesk::options(b.open.scratch.book()));
  again.perform(OpenWork{again.recent_work().at(0).work});
  while (again.is_busy()) again.tick();
  fail_on_message(again);
  REQUIRE(again.derived().layout);
  CHECK(*again.document() == before);
  CHECK(again.derived().layout->zones == b.layout().zones);
  again.perform(RemoveLayout{});
  CHECK_FALSE(again.derived().layout);
  again.perform(UseKeptLayout{again.kept_layouts().at(0).board_type});
  while (again.is_busy()) again.tick();
  REQUIRE(again.derived().layout);
  CHECK(again.derived().layout->zones.size() == 1);
}

TEST_CASE("an opened layout is laid on by its size, and one of another size is said not to fit") {
  Begun b;
  b.open.desk.perform(RemoveLayout{});
  const auto file = b.open.scratch.folder / "type.layout.json";
  Layout layout = layout_over({rectangle_ring({0, 0}, {100, 80}), {}}, true);
  layout.source.origin = LayoutOrigin::kicad;
  layout.zones.push_back({"right", {rectangle_ring({60, 10}, {90, 40}), {}}});
  save_layout(file, layout);
  b.open.desk.perform(ImportLayout{{file}});
  b.open.finish();
  REQUIRE(b.open.desk.derived().layout);
  CHECK_THAT(b.open.desk.derived().layout_words, Catch::Contains("by its size"));
  CHECK(b.open.desk.derived().survey->zones.zones.size() == 1);

  layout = layout_over({rectangle_ring({0, 0}, {60, 80}), {}}, true);
  layout.source.origin = LayoutOrigin::kicad;
  save_layout(file, layout);
  b.open.desk.perform(ImportLayout{{file}});
  b.open.finish();
  CHECK_FALSE(b.open.desk.derived().layout);
  CHECK_THAT(b.open.desk.derived().layout_words, Catch::Contains("does not fit"));
}

namespace {

// A zone of 200 x 200 px, chosen.
struct WithZone : Begun {
  WithZone() {
    key({GLFW_KEY_B});
    click_px({280, 180});
    click_px({480, 380});
    key({GLFW_KEY_ESCAPE});
    screen.state.layout.selected_zone = zone().name;
    screen.frame(open.desk);
  }
  const Zone& zone() const { return layout().zones.at(0); }
  // In photo px, as the outline lies on the photo.
  Ring ring_px() const {
    Ring ring = zone().polygon.outer;
    for (cv::Point2d& p : ring) p = photo_point(open.desk.derived().survey->rectification, p);
    return ring;
  }
  bool has_point(cv::Point2d p_px) const {
    const Ring ring = ring_px();
    return std::any_of(ring.begin(), ring.end(),
                       [&](cv::Point2d p) { return cv::norm(p - p_px) < 1; });
  }
  void drag_px(cv::Point2d from, cv::Point2d to) {
    screen.drag(open.desk, {screen.on_screen(from), screen.on_screen((from + to) * 0.5),
                            screen.on_screen(to)});
    screen.perform(open);
  }
};

}  // namespace

TEST_CASE("a point of a zone is dragged to another place, one step of undo each") {
  WithZone z;
  z.drag_px({480, 380}, {520, 410});
  CHECK(z.zone().polygon.outer.size() == 4);
  CHECK(z.has_point({520, 410}));
  z.drag_px({280, 180}, {260, 160});
  CHECK(z.has_point({260, 160}));
  z.key({GLFW_KEY_Z, true});
  CHECK(z.has_point({280, 180}));
  CHECK(z.has_point({520, 410}));
  z.key({GLFW_KEY_Z, true});
  CHECK(z.has_point({480, 380}));
}

TEST_CASE("dragging between two points of a zone adds one, and its area follows") {
  WithZone z;
  z.drag_px({380, 180}, {380, 130});
  REQUIRE(z.zone().polygon.outer.size() == 5);
  CHECK(z.has_point({380, 130}));
  // A triangle of 200 x 50 px on a square of 200 px; 25 px2 are 1 mm2.
  CHECK(area(z.zone().polygon) == Approx((40000 + 5000) / 25.0).epsilon(0.01));
  CHECK(z.open.desk.derived().survey->zones.zones.at(0).name == z.zone().name);
}

TEST_CASE("keys choose, move, add and take out points of a zone, never below three") {
  WithZone z;
  const Ring before = z.ring_px();
  z.key({GLFW_KEY_RIGHT_BRACKET});
  CHECK(z.screen.state.layout.selected_point == 0);
  const double scale = z.screen.state.view.scale;
  for (int i = 0; i < 3; ++i) z.key({GLFW_KEY_RIGHT});
  CHECK(cv::norm(z.ring_px()[0] - (before[0] + cv::Point2d(6 / scale, 0))) < 0.5);
  z.key({GLFW_KEY_Z, true});  // three presses at one point are one step
  CHECK(cv::norm(z.ring_px()[0] - before[0]) < 0.01);
  z.key({GLFW_KEY_INSERT});
  CHECK(z.zone().polygon.outer.size() == 5);
  z.key({GLFW_KEY_DELETE});
  CHECK(z.zone().polygon.outer.size() == 4);
  for (int i = 0; i < 3; ++i) {
    z.key({GLFW_KEY_RIGHT_BRACKET});
    z.key({GLFW_KEY_DELETE});
  }
  REQUIRE(z.layout().zones.size() == 1);
  CHECK(z.zone().polygon.outer.size() == 3);
}
