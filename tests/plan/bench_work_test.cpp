#include "plan/bench_work.h"

#include <catch2/catch.hpp>
#include <set>

#include "layout/layout.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"
#include "tests/plan/bench.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

BenchSign at(int minutes) { return {"Ada", minute(minutes)}; }

WorkItem work(Operation operation, std::vector<std::string> parts = {}) {
  WorkItem w;
  w.operation = operation;
  w.stage = facts(operation).stage;
  w.what = facts(operation).words;
  w.quantity = std::max<double>(1, static_cast<double>(parts.size()));
  for (const std::string& designator : parts)
    w.parts.push_back({designator, PartKind::aluminium_smd, "47u", "16 V", "", ""});
  return w;
}

// W1 photograph, W2 lift U1, W3 replace C1 and C2; a drying that is only offered.
Plan small_plan() {
  Plan plan;
  plan.board = "board 1";
  plan.rates = starting_rates();
  for (WorkItem w : {work(Operation::photograph), work(Operation::lift_large_chip, {"U1"}),
                     work(Operation::replace_smd_can, {"C1", "C2"})})
    plan = with_item(plan, w);
  WorkItem offered = work(Operation::recoat);
  offered.optional = true;
  return with_item(plan, offered);
}

std::vector<std::string> names(const std::vector<BenchStep>& steps) {
  std::vector<std::string> list;
  for (const BenchStep& s : steps)
    list.push_back(s.place.item + (s.place.part.empty() ? "" : " " + s.place.part) +
                   (s.problem.empty() ? "" : "!"));
  return list;
}

std::string item_id(const Plan& plan, Operation operation) { return item_with(plan, operation).id; }

}  // namespace

TEST_CASE("places follow the plan, part by part, without what is only offered") {
  const Plan plan = small_plan();
  const std::string photo = item_id(plan, Operation::photograph),
                    chip = item_id(plan, Operation::lift_large_chip),
                    can = item_id(plan, Operation::replace_smd_can);
  const auto places = names(bench_steps(plan, {}));
  REQUIRE(places.size() == 4);
  std::vector<std::string> wanted;
  for (const WorkItem& w : plan.items) {
    if (w.id == photo) wanted.push_back(photo);
    if (w.id == chip) wanted.push_back(chip + " U1");
    if (w.id == can) wanted.insert(wanted.end(), {can + " C1", can + " C2"});
  }
  CHECK(places == wanted);
  const BenchNow now = bench_now(plan, {}, minute(0));
  REQUIRE(now.step);
  CHECK(now.step->place.item == photo);
  CHECK(now.left == 4);
  CHECK_FALSE(now.timer.is_running);
}

TEST_CASE("the timer counts hands-on minutes and Done logs them to the item") {
  Plan plan = small_plan();
  BenchLog log = with_next(plan, {}, at(0));
  const std::string first = bench_now(plan, log, minute(0)).step->place.item;
  CHECK(bench_now(plan, log, minute(3)).timer.is_running);
  CHECK(bench_now(plan, log, minute(3)).timer.minutes == Approx(3));
  log = with_pause(plan, log, at(4));
  CHECK(bench_now(plan, log, minute(30)).timer.minutes == Approx(4));  // the pause is not work
  log = with_pause(plan, log, at(30));
  const BenchChange done = with_done(plan, log, at(32));
  CHECK(item_of(done.plan, first).done);
  CHECK(item_of(done.plan, first).done_by == "Ada");
  CHECK(*item_of(done.plan, first).actual_min == Approx(6));
  const BenchNow next = bench_now(done.plan, done.log, minute(33));
  CHECK(next.step->place.item != first);
  CHECK(next.timer.is_running);
  CHECK(next.timer.minutes == Approx(1));
  CHECK(next.left == 3);
}

TEST_CASE("an item of several parts is ticked off with the last, with the minutes of all") {
  Plan plan = small_plan();
  const std::string can = item_id(plan, Operation::replace_smd_can);
  BenchLog log = with_place(plan, {}, {can, "C2"}, at(0));
  BenchChange c = with_done(plan, log, at(5));
  CHECK_FALSE(item_of(c.plan, can).done);
  c.log = with_place(c.plan, c.log, {can, "C1"}, at(10));
  c = with_done(c.plan, c.log, at(17));
  REQUIRE(item_of(c.plan, can).done);
  CHECK(*item_of(c.plan, can).actual_min == Approx(12));
  CHECK_THROWS_AS(with_place(c.plan, c.log, {can, "C1"}, at(18)), Error);
  // A tick that was taken back opens both again.
  const Plan opened = unticked(c.plan, can);
  CHECK(bench_steps(opened, c.log).size() == bench_steps(c.plan, c.log).size() + 2);
}

TEST_CASE("told minutes stand in place of the timer") {
  const Plan plan = small_plan();
  const BenchLog log = with_next(plan, {}, at(0));
  const std::string first = bench_now(plan, log, minute(0)).step->place.item;
  const BenchChange c = with_done(plan, log, at(9), 4.5);
  CHECK(*item_of(c.plan, first).actual_min == Approx(4.5));
}

TEST_CASE("a timer that was forgotten overnight logs nothing by itself") {
  const Plan plan = small_plan();
  const BenchLog log = with_next(plan, {}, at(0));
  const std::string first = bench_now(plan, log, minute(0)).step->place.item;
  const BenchChange c = with_done(plan, log, at(14 * 60));
  CHECK(item_of(c.plan, first).done);
  CHECK_FALSE(item_of(c.plan, first).actual_min);
  CHECK_THAT(c.remark, Contains("no minutes are logged"));
  CHECK(with_done(plan, log, at(14 * 60), 8).remark.empty());
}

TEST_CASE("Next goes round, and a problem waits at the end with its word") {
  const Plan plan = small_plan();
  BenchLog log;
  std::vector<std::string> seen;
  for (int i = 0; i < 5; ++i) {
    log = with_next(plan, log, at(i));
    const BenchPlace place = bench_now(plan, log, minute(i)).step->place;
    seen.push_back(place.item + place.part);
  }
  CHECK(seen[4] == seen[0]);
  CHECK(std::set<std::string>(seen.begin(), seen.end()).size() == 4);
  log = with_problem(plan, log, "screw is seized", at(6));
  const auto steps = bench_steps(plan, log);
  CHECK(steps.back().problem == "screw is seized");
  CHECK(bench_now(plan, log, minute(6)).step->place.item +
            bench_now(plan, log, minute(6)).step->place.part ==
        seen[1]);
  CHECK_THROWS_AS(with_problem(plan, log, "", at(7)), Error);
}

TEST_CASE("work out of turn is remarked on, not forbidden") {
  const Plan plan = leaked_plan(agreed());
  const std::string wash = item_with(plan, Operation::local_clean, "B2").id;
  CHECK_THAT(order_remark(plan, {}, wash), Contains("comes before its turn"));
  CHECK_THAT(order_remark(plan, {}, wash),
             Contains(item_with(plan, Operation::neutralise, "B2").id));
  CHECK(order_remark(plan, {}, plan.items.front().id).empty());
}

TEST_CASE("a replacement whose old parts are off is no earlier work until they are back on") {
  Plan plan = small_plan();
  for (const Operation o : {Operation::rinse, Operation::recoat}) plan = with_item(plan, work(o));
  const std::string chip = item_id(plan, Operation::lift_large_chip),
                    can = item_id(plan, Operation::replace_smd_can),
                    rinse = item_id(plan, Operation::rinse),
                    recoat = item_id(plan, Operation::recoat);
  for (const std::string& id : {item_id(plan, Operation::photograph), chip})
    plan = ticked(plan, id, {"Ada", "2026-03-01", {}});
  CHECK_THAT(order_remark(plan, {}, rinse), Contains(can + " of earlier stages is still open"));
  const auto off = [](const BenchLog& log, const char* part) {
    return with_entry(log, {"Ada", minute(1), PartMove{part, PartState::off, ""}});
  };
  CHECK_THAT(order_remark(plan, off({}, "C1"), rinse), Contains(can));  // C2 is still on
  const BenchLog log = off(off({}, "C1"), "C2");
  CHECK(order_remark(plan, log, rinse).empty());
  // Fitting comes after the rinse and before the coat.
  CHECK_THAT(order_remark(plan, log, can), Contains(rinse + " of earlier stages is still open"));
  CHECK_THAT(order_remark(plan, log, recoat), Contains(can));
}

TEST_CASE("a can that came off is fitted anew after the board is washed and checked") {
  Plan plan = small_plan();
  for (const Operation o : {Operation::rinse, Operation::continuity})
    plan = with_item(plan, work(o));
  const std::string chip = item_id(plan, Operation::lift_large_chip),
                    can = item_id(plan, Operation::replace_smd_can),
                    rinse = item_id(plan, Operation::rinse),
                    check = item_id(plan, Operation::continuity);
  const auto part_of = [&plan](const BenchLog& log) {
    const BenchPlace place = bench_now(plan, log, minute(9)).step->place;
    return place.item + place.part;
  };
  // Without a timer too.
  CHECK(part_of(with_entry({}, {"Ada", minute(0), PartMove{"C1", PartState::off, ""}})) ==
        can + "C1");
  BenchLog log = with_place(plan, {}, {can, "C1"}, at(0));
  log = with_entry(log, {"Ada", minute(1), PartMove{"C1", PartState::off, ""}});
  CHECK(part_of(log) == can + "C1");  // the place stays until somebody goes on
  const auto steps = bench_steps(plan, log);
  CHECK(steps.back().place == BenchPlace{can, "C1"});
  CHECK(steps.back().stage == Stage::fit);
  log = with_next(plan, log, at(2));
  CHECK(part_of(log) == can + "C2");  // the next to take off, not the end of the list
  log = with_entry(log, {"Ada", minute(3), PartMove{"C2", PartState::bagged, "bag 1"}});
  std::vector<std::string> then;
  for (int i = 4; i < 9; ++i) {
    log = with_next(plan, log, at(i));
    then.push_back(part_of(log));
  }
  CHECK(then == std::vector<std::string>{chip + "U1", rinse, check, can + "C1", can + "C2"});
  // Back on without the work being done: the old one was put back.
  log = with_entry(log, {"Ada", minute(9), PartMove{"C2", PartState::back_on, ""}});
  CHECK(bench_steps(plan, log).back().place == BenchPlace{can, "C1"});
}

TEST_CASE("work tells the ledger what came off and what is back on") {
  Plan plan = small_plan();
  const std::string chip = item_id(plan, Operation::lift_large_chip),
                    can = item_id(plan, Operation::replace_smd_can);
  BenchChange c = with_done(plan, with_place(plan, {}, {chip, "U1"}, at(0)), at(1));
  REQUIRE(ledger(c.log).size() == 1);
  CHECK(ledger(c.log)[0].designator == "U1");
  CHECK(ledger(c.log)[0].state == PartState::off);
  c.log = with_entry(c.log, {"Ada", minute(2), PartMove{"C1", PartState::off, ""}});
  c.log = with_place(c.plan, c.log, {can, "C1"}, at(3));
  c = with_done(c.plan, c.log, at(4));
  CHECK(ledger(c.log)[1].state == PartState::back_on);
}

TEST_CASE("Done is refused while the plan forbids the work") {
  Plan plan = small_plan();
  plan = with_item(plan, work(Operation::neutralise));
  const std::string id = item_id(plan, Operation::neutralise);
  const BenchLog log = with_place(plan, {}, {id, ""}, at(0));
  CHECK_THROWS_WITH(with_done(plan, log, at(1)), Contains("cannot be done yet"));
  CHECK(with_done(with_known(plan, agreed()), log, at(1)).plan.items.size() == plan.items.size());
}

TEST_CASE("the last place done leaves nothing to do") {
  Plan plan;
  plan.rates = starting_rates();
  plan = with_item(plan, work(Operation::photograph));
  const BenchChange c = with_done(plan, with_next(plan, {}, at(0)), at(2));
  CHECK_FALSE(bench_now(c.plan, c.log, minute(2)).step);
  CHECK_THROWS_WITH(with_next(c.plan, c.log, at(3)), Contains("No place of work is left"));
}

TEST_CASE("the way a part came is told from the layout and from what was read") {
  Layout layout;
  layout.parts.resize(1);
  Part& p = layout.parts.front();
  p.designator = "C1";
  p.body = {4, 2};
  p.negative_end = NegativeEnd::left;
  CHECK(orientation_words(&layout, {}, "C1") == "layout: negative end left");
  CHECK(orientation_words(&layout, {}, "C2").empty());
  p.rotation_deg = 180;
  CHECK(orientation_words(&layout, {}, "C1") == "layout: negative end right");
  p.rotation_deg = 90;  // counter-clockwise: left goes down
  CHECK(orientation_words(&layout, {}, "C1") == "layout: negative end down");
  p.negative_end = NegativeEnd::unknown;
  CHECK(orientation_words(&layout, {}, "C1") == "layout: turned 90\u00b0");
  const BenchLog agreed_log =
      logged({{0, PartReading{"C1", ReadingOf::polarity, "none", "up", "up"}}});
  CHECK_THAT(orientation_words(nullptr, agreed_log, "C1"), Contains("negative end up"));
  const BenchLog differs =
      logged({{0, PartReading{"C1", ReadingOf::polarity, "down", "up", "up"}}});
  CHECK_THAT(orientation_words(&layout, differs, "C1"), Contains("ASK"));
}
