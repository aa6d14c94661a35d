#include "plan/board_facts.h"

#include <catch2/catch.hpp>

#include "tests/measure/sample_survey.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::WithinRel;

namespace {

FindingFact in(int id, std::vector<std::string> squares) {
  return {id, Residue::white_salt, 1, 1, 1, std::move(squares)};
}

ZoneTable table_of(int columns, int rows) {
  ZoneTable t;
  t.grid = {{0, 0, 100, 100}, columns, rows, true};
  return t;
}

}  // namespace

TEST_CASE("squares that touch or share a finding make one work area") {
  const auto areas = work_areas(
      table_of(8, 6), {in(1, {"A1"}), in(2, {"A2", "B2"}), in(3, {"D5"}), in(4, {"C8", "F8"})});
  REQUIRE(areas.size() == 3);
  CHECK(areas[0].name == "A1 to B2");
  CHECK(areas[0].findings == std::vector<int>{1, 2});
  CHECK(areas[1].name == "D5");
  CHECK(areas[2].name == "C8 to F8");
}

TEST_CASE("a row of touching squares does not become one area") {
  const auto areas = work_areas(
      table_of(8, 1), {in(1, {"A1"}), in(2, {"A2"}), in(3, {"A3"}), in(4, {"A4"}), in(5, {"A5"})});
  REQUIRE(areas.size() == 3);
  CHECK(areas[0].name == "A1 to A2");
  CHECK(areas[2].name == "A5");
}

TEST_CASE("squares that touch at a corner only stay apart") {
  CHECK(work_areas(table_of(4, 4), {in(1, {"A1"}), in(2, {"B2"})}).size() == 2);
}

TEST_CASE("a zone takes its findings, the smallest one where zones overlap") {
  ZoneTable t = table_of(4, 4);
  ZoneRow large, small;
  large.name = "all", large.area = 100, large.findings = {1, 2};
  small.name = "corner", small.area = 10, small.findings = {2};
  t.zones = {large, small};
  const auto areas = work_areas(t, {in(1, {"A1"}), in(2, {"A1"}), in(3, {"C3"})});
  REQUIRE(areas.size() == 3);
  CHECK(areas[0].name == "all");
  CHECK(areas[0].findings == std::vector<int>{1});
  CHECK(areas[1].name == "corner");
  CHECK(areas[2].name == "C3");
}

TEST_CASE("facts of a drawn survey: areas, parts reached, what is unseen") {
  const Survey survey = sample_survey();
  const SideFacts facts = side_facts(survey);
  REQUIRE(facts.findings.size() == 2);
  // A disc of 4 mm radius; the scale is one figure for a tilted photo.
  CHECK_THAT(facts.findings[0].area_mm2, WithinRel(3.14159 * 16, 0.15));
  CHECK(facts.has_layout);
  const auto c1 = std::find_if(facts.parts.begin(), facts.parts.end(),
                               [](const PartFact& p) { return p.designator == "C1"; });
  REQUIRE(c1 != facts.parts.end());
  CHECK(c1->reach == Reach::touched);
  CHECK(c1->is_corroded);
  CHECK(facts.unseen_percent == survey.zones.total.unseen.total_percent);
  const Plan plan = plan_of("drawn", {facts}, {}, starting_rates());
  CHECK(item_with(plan, Operation::replace_leaded_can).parts.front().designator == "C1");
  CHECK(side_facts(survey, nullptr, 0.99).findings.empty());
}

TEST_CASE("a survey without findings gives a plan that says what was not seen") {
  const Plan plan = plan_of("b", {side_facts(empty_survey())}, {}, starting_rates());
  for (const WorkItem& w : plan.items) CHECK(w.operation == Operation::photograph);
  CHECK_FALSE(advice_of(plan).empty());
}
