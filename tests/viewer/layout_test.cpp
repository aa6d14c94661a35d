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
