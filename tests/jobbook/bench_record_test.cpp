#include "jobbook/bench_record.h"

#include <catch2/catch.hpp>
#include <thread>

#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "plan/bench_work.h"
#include "plan/edit_plan.h"
#include "tests/jobbook/planned.h"
#include "tests/plan/bench.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using C = LockCondition;

namespace {

const char* const k_day = "2026-03-01";

struct Bench {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit, board;

  Bench() {
    Unit u;
    u.name = "logger";
    unit = book.put("received", {"", "unit", {}, to_body(u)});
    Board b{"board 1"};
    b.revision = "B";
    board = book.put("board", {"", "board", unit, to_body(b)});
    Known known = agreed();
    known.battery_fitted = Told::no;
    keep_plan(book, board, planned(book, known), "plan");
  }
  void add(int at, const BenchEvent& event) {
    change_bench(book, board, "bench", [&](const std::optional<Plan>&, const BenchLog& log) {
      return BenchKeep{with_entry(log, {"Ada", minute(at), event}), {}};
    });
  }
  std::string state() const { return unit_from(book.get(unit).body).state; }
  bool is_open(C condition) const {
    for (const ConditionView& v : state_of(lock_of(book, board, "Ada", k_day), k_day).conditions)
      if (v.condition == condition) return v.state == ConditionState::open;
    return false;
  }
};

Bath rinse() {
  Bath b;
  b.kind = BathKind::rinse;
  b.bath = "distilled water";
  b.minutes = 10;
  return b;
}

}  // namespace

TEST_CASE("a bench log is kept in the job book and undone with it") {
  Bench b;
  CHECK(bench_log_of(b.book, b.board).entries.empty());
  CHECK(bench_log_of(b.book, b.board).board == "board 1");
  b.add(0, ShiftNote{"in oven until 16:00"});
  b.add(1, PartMove{"U3", PartState::off, ""});
  CHECK(bench_log_of(b.book, b.board).entries.size() == 2);
  CHECK(shift_notes(b.book).at(0).text == "in oven until 16:00");
  CHECK(shift_notes(b.book).at(0).unit_name == "logger");
  b.book.undo(*b.book.last_step());
  CHECK(bench_log_of(b.book, b.board).entries.size() == 1);
  CHECK(b.book.children(b.board, "bench-log").size() == 1);
}

TEST_CASE("work takes the unit to the bench and a bath makes it washed") {
  Bench b;
  CHECK(b.state() == "planned");
  b.add(0, WorkStep{StepKind::start, {"W1", ""}, "", {}});
  CHECK(b.state() == "at the bench");
  b.add(1, rinse());
  CHECK(b.state() == "washed");
  b.add(2, WorkStep{StepKind::start, {"W2", ""}, "", {}});
  CHECK(b.state() == "washed");
}

TEST_CASE("a part that is off locks until it is back on") {
  Bench b;
  CHECK_FALSE(b.is_open(C::ledger));
  b.add(0, PartMove{"U3", PartState::off, ""});
  CHECK(b.is_open(C::ledger));
  b.add(1, PartMove{"U3", PartState::back_on, ""});
  CHECK_FALSE(b.is_open(C::ledger));
  b.add(2, PartMove{"X1", PartState::lost, "rolled under the bench"});
  CHECK(b.is_open(C::ledger));
  const PowerLock lock = lock_of(b.book, b.board, "Ada", k_day);
  CHECK(lock.facts.parts_off == std::vector<std::string>{"X1 (lost)"});
}

TEST_CASE("a reading that does not agree locks until one does") {
  Bench b;
  b.add(0, PartReading{"C1", ReadingOf::polarity, "left", "right", "right"});
  CHECK(b.is_open(C::readings));
  b.add(1, PartReading{"C1", ReadingOf::polarity, "right", "right", "right"});
  CHECK_FALSE(b.is_open(C::readings));
}

TEST_CASE("the wash log meets rinsed and dry and says wet in between") {
  Bench b;
  CHECK(b.is_open(C::rinsed));
  b.add(0, rinse());
  CHECK(b.is_open(C::rinsed));  // one is not enough
  b.add(10, rinse());
  CHECK_FALSE(b.is_open(C::rinsed));
  CHECK(lock_of(b.book, b.board, "Ada", k_day).facts.wet == Told::yes);
  CHECK(b.is_open(C::dry));
  b.add(240, Drying{DryingWay::circulating_oven, 54, 3});
  CHECK(lock_of(b.book, b.board, "Ada", k_day).facts.wet == Told::no);
  CHECK_FALSE(b.is_open(C::dry));
  b.add(300, rinse());
  CHECK(b.is_open(C::dry));
}

TEST_CASE("work that is done ticks the kept plan in the same step") {
  Bench b;
  const Plan plan = *kept_plan(b.book, b.board);
  const BenchLog log = with_next(plan, {}, {"Ada", minute(0)});
  const BenchChange c = with_done(plan, log, {"Ada", minute(6)});
  b.book.change("done at the bench", bench_edits(b.book, b.board, {c.log, c.plan}));
  const auto done = actuals_of(*kept_plan(b.book, b.board));
  REQUIRE(done.size() == 1);
  CHECK(done[0].minutes == Approx(6));
  b.book.undo(*b.book.last_step());
  CHECK(actuals_of(*kept_plan(b.book, b.board)).empty());
  CHECK(bench_log_of(b.book, b.board).entries.empty());
}

TEST_CASE("a battery taken out at the bench is out in the unit's record too") {
  Bench b;
  Unit received = unit_from(b.book.get(b.unit).body);
  received.battery.keeps_data = Answer3::no;
  b.book.put("told", {b.unit, "unit", {}, to_body(received)});
  WorkItem off;
  off.operation = Operation::remove_battery;
  const Plan plan = with_item(*kept_plan(b.book, b.board), off);
  keep_plan(b.book, b.board, plan, "plan");
  const std::string id = item_with(plan, Operation::remove_battery).id;
  change_bench(b.book, b.board, "bench", [&](const std::optional<Plan>& p, const BenchLog& log) {
    BenchChange c =
        with_done(*p, with_place(*p, log, {id, ""}, {"Ada", minute(0)}), {"Ada", minute(9)});
    return BenchKeep{std::move(c.log), std::move(c.plan)};
  });
  const Unit unit = unit_from(b.book.get(b.unit).body);
  CHECK(unit.battery.removed_on == k_day);
  CHECK(unit.state == "at the bench");
}

TEST_CASE("clocks of all boards run on in a job book that is opened again") {
  Bench b;
  b.add(0, ClockStart{"", "oven", "", "weigh it", 120});
  b.add(5, ClockStart{"", "weak acid", "B3", "rinse", 5});
  const JobBook again = JobBook::open(b.scratch.book(), fixed_options());
  const auto clocks = running_clocks(again);
  REQUIRE(clocks.size() == 2);
  CHECK(clocks[0].clock.clock.what == "weak acid");
  CHECK(clocks[0].board_name == "board 1");
  CHECK(is_due(clocks[0].clock, seconds_of(minute(10))));
  b.add(11, ClockStop{"K2"});
  CHECK(running_clocks(b.book).size() == 1);
}

TEST_CASE("two programs that add to one log at the same time lose no entry") {
  constexpr int k_each = 25;
  Bench b;
  std::vector<std::thread> programs;
  for (const char* who : {"Ada", "Bea"})
    programs.emplace_back([&b, who] {
      JobBook book = JobBook::open(b.scratch.book(), {.who = who});
      for (int i = 0; i < k_each; ++i)
        change_bench(book, b.board, "bench", [&](const std::optional<Plan>&, const BenchLog& log) {
          return BenchKeep{with_entry(log, {who, minute(0), ShiftNote{std::to_string(i)}}), {}};
        });
    });
  for (std::thread& t : programs) t.join();
  CHECK(bench_log_of(b.book, b.board).entries.size() == 2 * k_each);
}

TEST_CASE("a change at the bench that is refused leaves the job book as it was") {
  Bench b;
  b.add(0, ShiftNote{"one"});
  const auto step = b.book.last_step();
  CHECK_THROWS_AS(b.add(1, PartMove{"U3", PartState::back_on, ""}), Error);
  CHECK(b.book.last_step() == step);
  change_bench(b.book, b.board, "nothing", [](const std::optional<Plan>&, const BenchLog& log) {
    return BenchKeep{log, {}};
  });
  CHECK(b.book.last_step() == step);
  b.add(2, ShiftNote{"two"});  // the refused change holds no lock
  CHECK(bench_log_of(b.book, b.board).entries.size() == 2);
}
