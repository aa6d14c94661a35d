// Orders by command line, in the test's own process.

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "jobbook/plan_record.h"
#include "plan/edit_plan.h"
#include "tests/cli/run_here.h"
#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using test::run_here;

namespace {

struct OneUnit {
  Scratch scratch;
  std::string book = scratch.book().string(), unit;

  OneUnit() {
    JobBook b = JobBook::create(book, fixed_options("Ada"));
    Unit u;
    u.name = "logger";
    unit = b.put("received", {"", "unit", {}, to_body(u)});
    const std::string board = b.put("board", {"", "board", unit, to_body(Board{"main"})});
    Plan plan = plan_of("main", {side_of({})}, {}, starting_rates());
    plan.sides.front().photo_sha256 = b.add_file(bytes_of("a photo"));
    WorkItem w;
    w.operation = Operation::replace_leaded_can;
    w.stage = facts(w.operation).stage;
    w.what = "replace";
    w.quantity = 2;
    w.parts = {{"C1", PartKind::aluminium_radial, "100uF", "16V", "CP_Radial_D6.3mm_P2.50mm"},
               {"C2", PartKind::aluminium_radial, "", "", ""}};
    keep_plan(b, board, with_item(plan, w), "planned");
  }
  test::Ran order(std::vector<std::string> arguments) const {
    arguments.insert(arguments.begin() + 1, book);
    arguments.insert(arguments.begin(), "order");
    return run_here(arguments);
  }
};

}  // namespace

TEST_CASE("parts are listed, told, ordered, arrive and are fitted", "[cli]") {
  const OneUnit t;
  test::Ran ran = t.order({"list"});
  CHECK(ran.code == 0);
  CHECK_THAT(ran.out, Contains("1 x aluminium-radial 100 uF, 16 V") &&
                          Contains("not known: height") &&
                          Contains("not ordered: C2: no value is known"));
  ran =
      t.order({"part", t.unit, "C2", "--value", "47uF", "--volts", "25", "--diameter", "5",
               "--height", "11", "--spacing", "2", "--substitute", "low leakage", "--who", "Ada"});
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("47 uF, 25 V, 5 mm x 11 mm") && Contains("told by Ada"));
  const std::string csv = (t.scratch.folder / "order.csv").string();
  ran = t.order({"place", "--from", "a shop", "-o", csv, "--who", "Ada"});
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  const std::string order = ran.out.substr(0, ran.out.size() - 1);
  CHECK_THAT(test::text_of(csv), Contains("1,aluminium-radial,47 uF,25,5,11,2,low leakage"));
  CHECK_THAT(t.order({"list"}).out, Contains("ordered") && Contains("0 of 2 pieces arrived"));
  CHECK_THAT(t.order({"arrived", order}).out, Contains("2 of 2 pieces arrived"));
  CHECK(t.order({"part", t.unit, "C1", "C2", "--state", "fitted"}).code == 0);
  CHECK_THAT(t.order({"list"}).out, Contains("fitted"));
}

TEST_CASE("a part that arrived is fitted by its word back on in the ledger", "[cli]") {
  const OneUnit t;
  const std::string placed = t.order({"place", "--who", "Ada"}).out;
  REQUIRE(t.order({"arrived", placed.substr(0, placed.size() - 1), "--who", "Ada"}).code == 0);
  const auto log = [&t](const char* state) {
    return run_here({"log", "part", t.unit, "C1", state, "--jobbook", t.book, "--who", "Ada"}).code;
  };
  const auto line_of_c1 = [&t] {
    const std::string out = t.order({"list"}).out;
    const size_t at = out.find(" C1 ");
    return out.substr(at, out.find('\n', at) - at);
  };
  REQUIRE(log("off") == 0);
  CHECK_THAT(line_of_c1(), Contains("arrived"));
  REQUIRE(log("back-on") == 0);
  CHECK_THAT(line_of_c1(), Contains("fitted"));
  REQUIRE(log("off") == 0);
  CHECK_THAT(line_of_c1(), Contains("arrived"));
}

TEST_CASE("the drawer is filled and what fits is set aside", "[cli]") {
  const OneUnit t;
  CHECK(t.order({"take"}).code == 5);
  REQUIRE(t.order({"stock", "--kind", "aluminium-radial", "--value", "100uF", "--volts", "25",
                   "--count", "4", "--note", "box 3"})
              .code == 0);
  CHECK_THAT(t.order({"drawer"}).out, Contains("4 x aluminium-radial 100 uF, 25 V; box 3"));
  const test::Ran taken = t.order({"take"});
  CHECK(taken.code == 0);
  CHECK_THAT(taken.out, Contains("C1") && Contains("25 V for 16 V") && !Contains("C2"));
  CHECK_THAT(t.order({"drawer"}).out, Contains("3 x"));
}

TEST_CASE("every bad input of an order is one sentence", "[cli]") {
  const OneUnit t;
  const std::vector<std::pair<int, std::vector<std::string>>> wrong{
      {2, {"part", t.unit, "C9", "--state", "fitted"}},
      {2, {"part", t.unit, "C1"}},
      {2, {"part", t.unit, "C1", "--state", "lost"}},
      {2, {"part", t.unit, "C1", "--volts", "many"}},
      {2, {"part", t.unit, "C1", "--volts", "-5"}},
      {2, {"part", "unit-000000", "C1", "--state", "fitted"}},
      {2, {"arrived", "order-000000"}},
      {2, {"arrived", t.unit}},
      {2, {"list", "--unit", "unit-000000"}},
      {2, {"list", "-o", "order.txt"}},
      {2, {"stock", "--kind", "potato", "--value", "1 uF", "--count", "1"}},
      {2, {"stock", "--kind", "tantalum", "--value", "1 uF", "--count", "1.5"}},
      {2, {"stock", "--kind", "tantalum", "--value", "1 uF", "--count", "-2"}},
      {2, {"stock", "--kind", "tantalum", "--value", "", "--count", "2"}},
      {5, {"place", "--unit", t.unit, "--from", "a shop"}}};
  REQUIRE(t.order({"place"}).code == 0);  // so that the last of them has nothing left to order
  for (const auto& [code, arguments] : wrong) {
    const test::Ran ran = t.order(arguments);
    CAPTURE(arguments, ran.messages);
    CHECK(ran.code == code);
    CHECK(std::count(ran.messages.begin(), ran.messages.end(), '\n') == 1);
  }
}
