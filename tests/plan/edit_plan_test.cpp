#include "plan/edit_plan.h"

#include <catch2/catch.hpp>

#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

WorkItem own_item() {
  WorkItem w;
  w.operation = Operation::replace_leaded_can;
  w.stage = Stage::take_off;
  w.parts = {{"C20", PartKind::aluminium_radial, "", "", ""}};
  w.reason = "bulges";
  return w;
}

double likely(const Plan& plan) { return estimate_of(plan).total.likely_min; }

}  // namespace

TEST_CASE("an added item gets an id, its place in the order and its minutes") {
  const Plan before = leaked_plan();
  const Plan after = with_item(before, own_item());
  CHECK(after.items.size() == before.items.size() + 1);
  CHECK(item_of(after, "W" + std::to_string(before.next_id)).what ==
        facts(Operation::replace_leaded_can).words);
  CHECK(likely(after) > likely(before));
  CHECK(without_item(after, "W" + std::to_string(before.next_id)).items == before.items);
  WorkItem other;
  other.what = "refit the shield";
  CHECK_THROWS_WITH(with_item(before, other), Contains("minutes of its own"));
}

TEST_CASE("an id is never used again") {
  const Plan a = with_item(leaked_plan(), own_item());
  const std::string id = "W" + std::to_string(a.next_id - 1);
  const Plan b = with_item(without_item(a, id), own_item());
  CHECK_THROWS_AS(item_of(b, id), Error);
}

TEST_CASE("an edited item keeps what was not edited") {
  const Plan plan = leaked_plan();
  const WorkItem before = item_with(plan, Operation::local_clean, "B2");
  ItemEdit e;
  e.quantity = 5;
  e.minutes = Triple{2, 3, 4};
  const Plan edited = with_edit(plan, before.id, e);
  const WorkItem& after = item_of(edited, before.id);
  CHECK(after.quantity == 5);
  CHECK(after.what == before.what);
  CHECK(after.findings == before.findings);
  e.quantity = 0;
  CHECK_THROWS_AS(with_edit(plan, before.id, e), Error);
  e = {};
  e.minutes = Triple{5, 3, 4};
  CHECK_THROWS_AS(with_edit(plan, before.id, e), Error);
  CHECK_THROWS_WITH(with_edit(plan, "W999", {}), Contains("no such work item"));
}

TEST_CASE("merging adds up and splitting gives it back") {
  const Plan plan = leaked_plan();
  const std::string a = item_with(plan, Operation::local_clean, "B2").id;
  const std::string b = item_with(plan, Operation::local_clean, "D4").id;
  const double whole = item_of(plan, a).quantity + item_of(plan, b).quantity;
  const Plan one = merged(plan, {a, b});
  CHECK(one.items.size() == plan.items.size() - 1);
  CHECK(item_of(one, a).quantity == Approx(whole));
  CHECK(item_of(one, a).place == "B2, D4");
  CHECK(item_of(one, a).findings.size() == 4);
  const Plan two = split(one, a, whole / 4);
  CHECK(item_of(two, a).quantity + item_of(two, "W" + std::to_string(plan.next_id)).quantity ==
        Approx(whole));
  CHECK_THROWS_AS(split(one, a, whole), Error);
  CHECK_THROWS_WITH(merged(plan, {a, item_with(plan, Operation::dry).id}),
                    Contains("different work"));
  CHECK_THROWS_AS(merged(plan, {a, a}), Error);
  CHECK_THROWS_AS(merged(plan, {a}), Error);
}

TEST_CASE("pairs of pins go along when items are merged and split") {
  SideFacts side = leaked_side();
  for (int i = 0; i < 3; ++i)
    side.pairs.push_back({{"N" + std::to_string(i), {"U1", "1"}, {"J1", "1"}}, {3}, true});
  side.pairs.push_back({{"other", {"C1", "1"}, {"R1", "1"}}, {2}, true});
  const Plan plan = plan_of("board", {side}, {}, starting_rates());
  const std::string d4 = item_with(plan, Operation::continuity, "D4").id;
  const std::string b2 = item_with(plan, Operation::continuity, "B2").id;
  const Plan one = merged(plan, {d4, b2});
  CHECK(item_of(one, d4).pairs.size() == 4);
  const Plan two = split(one, d4, 1);
  REQUIRE(item_of(two, d4).pairs.size() == 3);
  const auto& off = item_of(two, "W" + std::to_string(plan.next_id)).pairs;
  REQUIRE(off.size() == 1);
  CHECK(off[0].net == "other");
}

TEST_CASE("parts are split off by name and none is lost") {
  WorkItem cans = own_item();
  cans.parts.push_back({"C21", PartKind::aluminium_radial, "", "", ""});
  cans.parts.push_back({"C22", PartKind::aluminium_radial, "", "", ""});
  cans.quantity = 3;
  const Plan plan = with_item(leaked_plan(), cans);
  const std::string id = "W" + std::to_string(plan.next_id - 1);
  CHECK_THROWS_WITH(split(plan, id, 1.0), Contains("name the parts"));
  const Plan out = split(plan, id, std::vector<std::string>{"C21"});
  CHECK(item_of(out, id).quantity == Approx(2));
  const WorkItem& off = item_of(out, "W" + std::to_string(plan.next_id));
  CHECK(off.quantity == Approx(1));
  CHECK(off.parts.front().designator == "C21");
  CHECK_THROWS_WITH(split(plan, id, std::vector<std::string>{"C99"}), Contains("no part C99"));
  CHECK_THROWS_AS(split(plan, id, std::vector<std::string>{"C20", "C21", "C22"}), Error);
}

TEST_CASE("a tick takes an item out of the estimate and its minutes into the log") {
  const Plan plan = leaked_plan(agreed());
  const std::string id = item_with(plan, Operation::replace_smd_can).id;
  const Plan done = ticked(plan, id, {"Ada", "2026-03-01", 9});
  CHECK(likely(done) < likely(plan));
  REQUIRE(actuals_of(done).size() == 1);
  CHECK(actuals_of(done).front().minutes == 9);
  CHECK(actuals_of(done).front().person == "Ada");
  CHECK(actuals_of(with_actual(done, id, 11)).front().minutes == 11);
  CHECK(unticked(done, id) == plan);
  CHECK_THROWS_AS(ticked(done, id, {"Ada", "", {}}), Error);
  CHECK_THROWS_AS(ticked(plan, id, {"", "", {}}), Error);
  CHECK_THROWS_AS(ticked(plan, id, {"Ada", "", -1}), Error);
  CHECK_THROWS_AS(with_actual(plan, id, 5), Error);
  CHECK_THROWS_AS(without_item(done, id), Error);
}
