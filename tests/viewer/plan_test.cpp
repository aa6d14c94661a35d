// The plan step: made from the survey that is shown, kept in the job book, each change undoable.
#include <catch2/catch.hpp>

#include "jobbook/plan_record.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

struct Planned {
  OpenDesk open;
  Screen screen;
  Planned() {
    open.photo();
    screen.state.step = Step::plan;
    screen.frame(open.desk);
    key(GLFW_KEY_N);
  }
  void key(int key) {
    screen.frame(open.desk, {{key}});
    screen.perform(open);
  }
  const Plan& plan() const { return *open.desk.plan().plan; }
};

}  // namespace

TEST_CASE("N makes a plan from the survey, with its estimate and its place in the job book") {
  Planned p;
  REQUIRE(p.open.desk.plan().plan);
  CHECK_FALSE(p.plan().items.empty());
  REQUIRE(p.open.desk.plan().estimate);
  CHECK(p.open.desk.plan().estimate->total.allow_min >
        p.open.desk.plan().estimate->total.likely_min);
  CHECK(p.open.desk.plan().worth.has_value());
  CHECK(kept_plan(p.open.desk.book(), p.open.desk.intake().board_id) == p.plan());
  CHECK(p.open.desk.intake().unit.state == "planned");
}

TEST_CASE("undo takes the plan and the unit's state back, redo brings them again") {
  Planned p;
  const Plan made = p.plan();
  p.open.desk.perform(Undo{});
  p.open.finish();
  CHECK_FALSE(p.open.desk.plan().plan);
  CHECK(p.open.desk.intake().unit.state == "received");
  p.open.desk.perform(Redo{});
  p.open.finish();
  REQUIRE(p.open.desk.plan().plan);
  CHECK(p.plan() == made);
}

TEST_CASE("J goes to the first item and T ticks it off; a blocked one says why and stays open") {
  Planned p;
  p.key(GLFW_KEY_J);
  const std::string id = p.screen.state.plan.selected;
  REQUIRE(id == p.plan().items[0].id);
  const std::string block = block_of(p.plan(), p.plan().items[0]);
  p.screen.frame(p.open.desk, {{GLFW_KEY_T}});
  REQUIRE(p.screen.action<TickItem>());
  p.open.desk.perform(*p.screen.action<TickItem>());
  CHECK(p.plan().items[0].done == block.empty());
  if (!block.empty()) CHECK_FALSE(p.open.desk.messages().empty());
}

TEST_CASE("items are added, changed, removed; what is known is told; each is one step") {
  Planned p;
  const size_t before = p.plan().items.size();
  WorkItem item;
  item.operation = Operation::recoat;
  item.stage = facts(item.operation).stage;
  item.what = "recoat";
  p.open.desk.perform(AddItem{item});
  REQUIRE(p.plan().items.size() == before + 1);
  const std::string id = p.plan().items.back().id;
  ItemEdit edit;
  edit.quantity = 3;
  p.open.desk.perform(EditItem{id, edit});
  CHECK(item_of(p.plan(), id).quantity == 3);
  Known known = p.plan().known;
  known.leak_from = LeakSource::battery;
  known.strips.push_back({"", 9.5, false, ""});
  p.open.desk.perform(TellKnown{known});
  CHECK(p.plan().known == known);
  p.open.desk.perform(RemoveItem{id});
  p.open.finish();
  CHECK(p.plan().items.size() == before);
  for (int i = 0; i < 4; ++i) p.open.desk.perform(Undo{});
  p.open.finish();
  CHECK(p.plan().items.size() == before);
  CHECK(p.plan().known.strips.empty());
}
