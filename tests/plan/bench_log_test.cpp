#include "plan/bench_log.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "plan/clocks.h"
#include "plan/ledger.h"
#include "tests/plan/bench.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

TEST_CASE("a bench log is read as it was written") {
  Bath bath{
      BathKind::neutralise, "B3", "citric acid 5 %", "", Neutraliser::weak_acid, 3, 21.5, false,
      {"C12", "label"}};
  const BenchLog log = logged({
      {0, WorkStep{StepKind::start, {"W3", "C12"}, "", {}}},
      {1, WorkStep{StepKind::problem, {"W3", "C12"}, "pad lifts", {}}},
      {2, WorkStep{StepKind::done, {"W4", ""}, "", 12.5}},
      {3, CloseUp{{"W3", "C12"}, "scope.jpg", std::string(64, 'b')}},
      {4, ShiftNote{"rinse 1 of 2 done, in oven until 16:00"}},
      {5, PartMove{"U3", PartState::bagged, "bag 4"}},
      {6, PartReading{"C12", ReadingOf::polarity, "left", "none", "left"}},
      {7, bath},
      {8, Drying{DryingWay::circulating_oven, 54, 4}},
      {9, Weighing{true, 81.25, 0.5}},
      {10, Weighing{false, 81.5, {}}},
      {11, ClockStart{"", "weak acid", "B3", "rinse", 5}},
      {12, ClockStop{"K1"}},
  });
  const std::string text = bench_log_json(log);
  CHECK(bench_log_from_json(text, "bench.json") == log);
  CHECK(bench_log_json(bench_log_from_json(text, "bench.json")) == text);
  CHECK(events<ClockStart>(log).front().id == "K1");
}

TEST_CASE("a bench log that cannot be is refused by field") {
  const std::string text = bench_log_json(logged({{0, PartMove{"U3", PartState::off, ""}}}));
  const auto with = [&text](const std::string& from, const std::string& to) {
    std::string changed = text;
    const size_t at = changed.find(from);
    REQUIRE(at != std::string::npos);
    return bench_log_from_json(changed.replace(at, from.size(), to), "bench.json");
  };
  CHECK_THROWS_WITH(with("\"off\"", "\"gone\""), Contains("entries[0].state"));
  CHECK_THROWS_WITH(with("\"kind\": \"part\"", "\"kind\": \"song\""), Contains("entries[0].kind"));
  CHECK_THROWS_WITH(with("T08", "T99"), Contains("entries[0].at"));
  CHECK_THROWS_WITH(with("\"version\": 1", "\"version\": 2"), Contains("newer"));
}

TEST_CASE("entries that make no sense are refused and leave the log as it was") {
  const BenchLog log = logged({{0, PartMove{"U3", PartState::off, ""}}});
  const BenchEvent wrong[] = {
      WorkStep{StepKind::problem, {"W1", ""}, "", {}},
      WorkStep{StepKind::start, {"", ""}, "", {}},
      PartMove{"U3", PartState::lost, ""},
      PartMove{"U3", PartState::stays_off, ""},
      PartMove{"U9", PartState::back_on, ""},
      PartReading{"C1", ReadingOf::value, "", "", ""},
      PartReading{"C1", ReadingOf::polarity, "plus up", "", ""},
      Bath{BathKind::wash, "", "", "", {}, 3, {}, false, {}},
      Bath{BathKind::wash, "", "water", "", {}, 0, {}, false, {}},
      Bath{BathKind::neutralise, "", "vinegar", "", {}, 3, {}, false, {}},
      Bath{BathKind::alcohol, "", "isopropyl", "", {}, 3, {}, true, {}},
      Drying{DryingWay::circulating_oven, {}, 3},
      Drying{DryingWay::open_air, {}, -1},
      Weighing{true, 80, {}},
      Weighing{false, 80, {}},
      ClockStart{"", "acid", "", "", 0},
      ClockStop{"K7"},
  };
  for (const BenchEvent& event : wrong) {
    INFO(words(event));
    CHECK_THROWS_AS(with_entry(log, {"Ada", minute(1), event}), Error);
  }
  CHECK_THROWS_WITH(with_entry(log, {"nobody", minute(1), ShiftNote{"x"}}), Contains("--who"));
  CHECK_THROWS_WITH(with_entry(log, {"Ada", "2026-03-01T07:59:00Z", ShiftNote{"x"}}),
                    Contains("only follow"));
}

TEST_CASE("the ledger owes what came off until it is back on or stays off with a word") {
  const auto rows = ledger(logged({{0, PartMove{"U3", PartState::off, ""}},
                                   {1, PartMove{"U4", PartState::off, ""}},
                                   {2, PartMove{"BT1", PartState::stays_off, "leaks"}},
                                   {3, PartMove{"U3", PartState::bagged, "bag 1"}},
                                   {4, PartMove{"U4", PartState::back_on, ""}},
                                   {5, PartMove{"X1", PartState::lost, "fell off the bench"}}}));
  REQUIRE(rows.size() == 4);
  CHECK(rows[0].state == PartState::bagged);
  CHECK(rows[0].word == "bag 1");
  CHECK(is_owed(rows[0].state));
  CHECK_FALSE(is_owed(rows[1].state));
  CHECK_FALSE(is_owed(rows[2].state));
  CHECK(is_owed(rows[3].state));
  CHECK(ledger_words(rows) == "1 off or bagged, 1 back on, 1 lost, 1 stays off");
}

TEST_CASE("a shift note stands until the next one or until it is emptied") {
  const BenchLog one = logged({{0, ShiftNote{"rinse 1 of 2 done"}}});
  REQUIRE(shift_note(one));
  CHECK(std::get<ShiftNote>(shift_note(one)->event).text == "rinse 1 of 2 done");
  const BenchLog none = with_entry(one, {"Ada", minute(9), ShiftNote{""}});
  CHECK(shift_note(none) == nullptr);
}

TEST_CASE("clocks are due by the time now and the log alone") {
  const BenchLog log = logged({{5, ClockStart{"", "weak acid", "B3", "rinse", 5}},
                               {6, ClockStart{"", "oven", "", "weigh it", 120}},
                               {7, ClockStart{"", "soak", "C1", "", 1}}});
  const auto clocks = running_clocks(log);
  REQUIRE(clocks.size() == 3);
  const auto at = [](int minutes) { return seconds_of(minute(minutes)); };
  CHECK(clocks[0].clock.what == "soak");  // the most urgent first
  CHECK(is_due(clocks[0], at(9)));
  CHECK_FALSE(is_due(clocks[1], at(9)));
  CHECK(left_min(clocks[1], at(9)) == Approx(1));
  CHECK(words(clocks[1], at(9), 0) == "weak acid on B3 since 08:05, 1 min left, then rinse");
  CHECK(words(clocks[1], at(10), 60) == "weak acid on B3 since 09:05, rinse now");
  CHECK(running_clocks(with_entry(log, {"Ada", minute(11), ClockStop{"K1"}})).size() == 2);
  // A restart: the same log read from its file.
  CHECK(running_clocks(bench_log_from_json(bench_log_json(log), "bench.json")) == clocks);
}
