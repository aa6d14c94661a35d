#include "plan/against_estimate.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "plan/edit_plan.h"
#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

JobAgainst job(Operation o, const std::string& person, double minutes, double likely,
               const std::string& type = {}) {
  return {{o, false, person, minutes, 1, "2026-03-01"}, type, likely, 2 * likely};
}

}  // namespace

TEST_CASE("a logged item is held against the rates of its plan") {
  Plan plan = leaked_plan(agreed());
  const WorkItem item = item_with(plan, Operation::photograph);
  const double likely =
      estimate_of({task_of(plan, item)}, estimate_options(plan.rates)).total.likely_min;
  plan = ticked(plan, item.id, {"Ada", "2026-03-01", 12});
  const std::vector<JobAgainst> jobs = against_estimate(plan, "main board");
  REQUIRE(jobs.size() == 1);
  CHECK(jobs[0].actual.minutes == 12);
  CHECK(jobs[0].board_type == "main board");
  CHECK(jobs[0].likely_min == Approx(likely).epsilon(0.05));
  CHECK(jobs[0].allow_min > 1.3 * jobs[0].likely_min);
}

TEST_CASE("jobs are rowed by operation, person and board type, most minutes first") {
  const std::vector<JobAgainst> jobs{job(Operation::rinse, "Ada", 5, 10, "a"),
                                     job(Operation::rinse, "Ben", 20, 10, "b"),
                                     job(Operation::dry, "Ada", 50, 10, "a")};
  const auto operations = actuals_rows(jobs, ActualsBy::operation);
  REQUIRE(operations.size() == 2);
  CHECK(operations[0].name == "dry");
  CHECK(operations[0].within_allow == 0);
  CHECK(operations[1].jobs == 2);
  CHECK(operations[1].ratio == Approx(1));  // half and twice
  CHECK(operations[1].ratios == std::vector<double>{0.5, 2});
  const auto people = actuals_rows(jobs, ActualsBy::person);
  CHECK(people[0].name == "Ada");
  CHECK(people[0].ratio == Approx(std::sqrt(2.5)));
  CHECK(words(people[1]) ==
        "Ben: 1 job, 20 min for likely 10 min, x 2.00; 1 of 1 within allow up to");
  CHECK(actuals_rows(jobs, ActualsBy::board_type).size() == 2);
  CHECK(actuals_rows({job(Operation::rinse, "", 5, 10)}, ActualsBy::board_type)[0].name ==
        "no board type");
}

TEST_CASE("one's own minutes go out without names and days") {
  const std::string csv = actuals_csv({job(Operation::rinse, "Ada Private", 5, 10, "main, old"),
                                       job(Operation::dry, "Ben", 50, 10)},
                                      "Ada Private");
  CHECK(csv.find("rinse,no,1,board,5,10,20,\"main, old\",2026-03\r\n") != std::string::npos);
  CHECK(csv.find("Ada") == std::string::npos);
  CHECK(csv.find("dry") == std::string::npos);
  CHECK(csv.find("2026-03-01") == std::string::npos);
}
