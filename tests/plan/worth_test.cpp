#include "plan/worth.h"

#include <catch2/catch.hpp>

#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

Plan valued(std::optional<double> value) {
  Plan plan = leaked_plan(agreed());
  plan.rates.money_per_hour = 60;
  plan.known.owner_value = value;
  return plan;
}

Worth graded(const Plan& plan) { return worth_of(plan, estimate_of(plan)); }

}  // namespace

TEST_CASE("the chance of a lifted pad, on Jeffreys' prior, in two figures") {
  // Worked by hand from the beta-binomial of 2 in 100.
  CHECK(lifted_pad_probability(0) == 0);
  CHECK_THAT(lifted_pad_probability(1), WithinAbs(2.5 / 101, 1e-12));
  CHECK_THAT(lifted_pad_probability(13), WithinAbs(0.26, 0.01));
  CHECK_THAT(lifted_pad_probability(30), WithinAbs(0.48, 0.01));
}

// US Army TM 11-5820-922-40-1 para 3-15: rejected above 20 % of width, below 0.254 mm, above 25 %
// of a pad's area, with a lifted conductor, with a pit into a plated hole.
TEST_CASE("published reject limits, at and past each bound") {
  EtchReading e;
  CHECK(exceeded_limits(e).empty());
  e.width_loss_percent = 20;
  e.width_left_mm = 0.254;
  e.pad_loss_percent = 25;
  e.lifted_conductor = e.pit_into_hole = Told::no;
  CHECK(exceeded_limits(e).empty());
  e.width_loss_percent = 20.1;
  CHECK(exceeded_limits(e).size() == 1);
  e.width_left_mm = 0.253;
  CHECK(exceeded_limits(e).size() == 2);
  e.pad_loss_percent = 25.1;
  CHECK(exceeded_limits(e).size() == 3);
  e.lifted_conductor = e.pit_into_hole = Told::yes;
  CHECK(exceeded_limits(e).size() == 5);
  for (const std::string& s : exceeded_limits(e)) CHECK_THAT(s, Contains("para 3-15"));
}

TEST_CASE("the grade follows cost, value and risk, and says why") {
  CHECK(graded(valued(std::nullopt)).grade == WorthGrade::ask_first);
  const Worth w = graded(valued(1e6));
  CHECK(w.grade == WorthGrade::repair);
  CHECK_FALSE(w.reasons.empty());
  CHECK(graded(valued((w.likely_cost + w.allow_cost) / 2)).grade == WorthGrade::repair_if_valued);
  CHECK(graded(valued(w.likely_cost / 2)).grade == WorthGrade::ask_first);
  Plan etched = valued(1e6);
  etched.known.etch.lifted_conductor = Told::yes;
  CHECK(graded(etched).grade == WorthGrade::ask_first);
  Plan severe = valued(1e6);
  severe.sides.front().severity = Severity::ask_first;
  CHECK(graded(severe).grade == WorthGrade::ask_first);
  Plan unpaid = valued(1e6);
  unpaid.rates.money_per_hour = 0;
  CHECK(graded(unpaid).grade == WorthGrade::ask_first);
  CHECK_THAT(graded(unpaid).reasons.front(), Contains("No cost"));
  unpaid.rates.parts = {{"aluminium-smd", 0.5}};
  CHECK_THAT(graded(unpaid).reasons.front(), Contains("labour left out"));
}

TEST_CASE("a donor needs spares that are known or at least not ruled out") {
  Plan plan = valued(1);
  plan.known.washed = plan.known.traces_checked = Told::yes;
  CHECK(graded(plan).grade == WorthGrade::parts_donor);
  plan.known.spares_known = Told::no;
  CHECK(graded(plan).grade == WorthGrade::ask_first);
}
