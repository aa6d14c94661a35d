// The plan step: made from the survey that is shown, kept in the job book, each change undoable.
#include <catch2/catch.hpp>

#include "jobbook/plan_record.h"
#include "photo/encode.h"
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

TEST_CASE("the plan takes the other side as people left it") {
  OpenDesk open;
  const auto perform = [&open](const DeskAction& action) {
    open.desk.perform(action);
    open.finish();
  };
  const auto facts_of_back = [&] {
    perform(MakePlan{});
    for (const PlanSide& side : open.desk.plan().plan->sides)
      if (side.side == Side::back) return side.findings;
    return -1;
  };
  open.photo();
  ScaleChoice back;
  back.side = Side::back;
  perform(SetScale{back, "Back"});
  perform(SaveSurvey{});
  const std::string back_work = open.desk.work_id();
  const std::string unit = open.desk.unit_id(), board = open.desk.intake().board_id;
  const std::filesystem::path front = open.scratch.folder / "front.jpg";
  write_file(front, jpeg_bytes(cv::Mat(480, 640, CV_8UC3, cv::Scalar(60, 110, 70))));
  perform(OpenPhotoFile{front});
  perform(MovePhoto{unit, board, "", ""});
  const std::string front_work = open.desk.work_id();
  const int machine = facts_of_back();
  REQUIRE(machine == 2);
  const auto dismiss_one_on_the_back = [&] {
    perform(OpenWork{back_work});
    perform(JudgeFinding{
        open.desk.derived().survey->findings.findings.front().id, EditKind::dismiss, {}});
  };
  dismiss_one_on_the_back();
  perform(OpenWork{front_work});
  CHECK(facts_of_back() == 1);
  // Saved with its review, and then changed once more.
  perform(OpenWork{back_work});
  perform(SaveSurvey{});
  dismiss_one_on_the_back();
  perform(OpenWork{front_work});
  CHECK(facts_of_back() == 0);
}
