// The power lock step: conditions of the open board, evidence, overrides with a reason, all kept in
// the job book and undoable.
#include <catch2/catch.hpp>

#include "jobbook/lock_record.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

struct Locked {
  OpenDesk open;
  Screen screen;
  Locked() {
    open.photo();
    screen.state.step = Step::power_lock;
    screen.frame(open.desk);
  }
  const LockState& state() const { return open.desk.lock().state; }
  const ConditionView& condition(LockCondition c) const {
    for (const ConditionView& v : state().conditions)
      if (v.condition == c) return v;
    throw std::runtime_error("no such condition");
  }
  // The first open condition that may be overridden, or may not.
  LockCondition first_open(bool may_override) const {
    for (const ConditionView& v : state().conditions)
      if (v.state == ConditionState::open && v.may_override == may_override) return v.condition;
    throw std::runtime_error("no such condition");
  }
  void override_by_name(LockCondition c, const std::string& reason) {
    LockEntry e;
    e.kind = LockEntryKind::override_;
    e.condition = c;
    e.note = reason;
    open.desk.perform(AddLockEntry{e, "Override"});
  }
};

}  // namespace

TEST_CASE("a board that was just opened is locked, and J and K go through its conditions") {
  Locked l;
  REQUIRE(l.open.desk.lock().lock);
  CHECK_FALSE(l.state().is_cleared);
  REQUIRE(l.state().conditions.size() >= 2);
  l.screen.frame(l.open.desk, {{GLFW_KEY_J}});
  CHECK(l.screen.state.lock.selected == l.state().conditions[0].condition);
  l.screen.frame(l.open.desk, {{GLFW_KEY_J}});
  CHECK(l.screen.state.lock.selected == l.state().conditions[1].condition);
  l.screen.frame(l.open.desk, {{GLFW_KEY_K}});
  CHECK(l.screen.state.lock.selected == l.state().conditions[0].condition);
  l.screen.frame(l.open.desk);
  CHECK(l.screen.actions.empty());
}

TEST_CASE("an override with a reason is kept in the job book, and undo takes it back") {
  Locked l;
  const LockCondition c = l.first_open(true);
  l.override_by_name(c, "bare board on the bench, no supply near");
  l.open.finish();
  CHECK(l.condition(c).state == ConditionState::overridden);
  const auto kept = l.open.desk.book().children(l.open.desk.intake().board_id, "power-lock");
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].body.dump().find("bare board on the bench") != std::string::npos);
  l.open.desk.perform(Undo{});
  l.open.finish();
  CHECK(l.condition(c).state == ConditionState::open);
  l.open.desk.perform(Redo{});
  l.open.finish();
  CHECK(l.condition(c).state == ConditionState::overridden);
}

TEST_CASE("what may not be overridden stays open and says why") {
  Locked l;
  const LockCondition c = l.first_open(false);
  l.override_by_name(c, "in a hurry");
  CHECK(l.condition(c).state == ConditionState::open);
  CHECK_FALSE(l.open.desk.messages().empty());
}
