#include "jobbook/plan_record.h"

#include <catch2/catch.hpp>

#include "jobbook/board_type.h"
#include "jobbook/queue.h"
#include "jobbook/survey_record.h"
#include "layout/layout_json.h"
#include "plan/edit_plan.h"
#include "tests/jobbook/scratch.h"
#include "tests/measure/sample_survey.h"
#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

struct Shelf {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit, board, photo;

  explicit Shelf(const Unit& u = named_unit()) {
    unit = book.put("received", {"", "unit", {}, to_body(u)});
    board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  }
  static Unit named_unit() {
    Unit u;
    u.name = "logger";
    return u;
  }
  Survey add_survey() {
    Survey survey = sample_survey();
    KeptPhoto p;
    p.sha256 = book.add_file(bytes_of("a photo"));
    survey.photo.sha256 = p.sha256;
    photo = book.put("photo", {"", "photo", board, to_body(p)});
    keep_survey(book, photo, survey);
    return survey;
  }
  Plan plan() {
    add_survey();
    return plan_of("board 1", surveyed_sides(book, board), known_of(named_unit()),
                   starting_rates());
  }
};

}  // namespace

TEST_CASE("a plan is kept, changed in place and undone") {
  Shelf s;
  const Plan first = s.plan();
  const std::string id = keep_plan(s.book, s.board, first, "planned");
  CHECK(kept_plan(s.book, s.board) == first);
  CHECK(unit_from(s.book.get(s.unit).body).state == "planned");
  const Plan second = ticked(first, item_with(first, Operation::photograph).id, {"Ada", "", 5});
  CHECK(keep_plan(s.book, s.board, second, "ticked off") == id);
  CHECK(kept_plan(s.book, s.board) == second);
  CHECK(actuals_of(s.book).size() == 1);
  s.book.undo(*s.book.last_step());
  CHECK(kept_plan(s.book, s.board) == first);
  s.book.undo(*s.book.last_step());
  CHECK_FALSE(kept_plan(s.book, s.board));
  CHECK(unit_from(s.book.get(s.unit).body).state == "surveyed");
  CHECK(s.book.faults().empty());
}

TEST_CASE("a board without a survey has no plan, and only boards have one") {
  Shelf s;
  CHECK_THROWS_AS(surveyed_sides(s.book, s.board), Error);
  CHECK_THROWS_AS(keep_plan(s.book, s.unit, s.plan(), "planned"), Error);
}

TEST_CASE("the entry record tells a plan what it knows and nothing more") {
  Unit u = Shelf::named_unit();
  Known nothing;
  nothing.battery_data = BatteryData::maybe;  // nobody said that it keeps none
  CHECK(known_of(u) == nothing);
  u.battery.fitted = u.battery.leaking = Answer3::yes;
  u.battery.kind = "NiCd barrel";
  u.strip_reading = "pH 11";
  u.picture_tube = Answer3::no;
  Known k = known_of(u);
  CHECK(k.battery == BatteryKind::nickel);
  CHECK(k.leak_from == LeakSource::battery);
  CHECK(k.battery_fitted == Told::yes);
  CHECK(k.picture_tube == Told::no);
  REQUIRE(k.strips.size() == 1);
  CHECK(k.strips.front().ph == 11);
  u.strip_reading = "blue, about 11";
  u.battery.kind = "round one";
  u.battery.removed_on = "2026-03-01";
  k = known_of(u);
  CHECK(k.strips.empty());
  CHECK(k.battery == BatteryKind::not_known);
  CHECK(k.battery_fitted == Told::no);
}

TEST_CASE("the nets of the board type's layout name the ends of continuity checks") {
  Shelf s;
  s.add_survey();  // copper salt in a disc of 4 mm about (30, 30) mm
  CHECK(surveyed_sides(s.book, s.board).at(0).pairs.empty());
  Layout layout = layout_over({{{0, 0}, {100, 0}, {100, 75}, {0, 75}}, {}}, true);
  Part u3, r12;
  u3.designator = "U3";
  u3.joints = {{"5", {30, 30}, 1, false, "/RESET"}};
  r12.designator = "R12";
  r12.joints = {{"1", {60, 70}, 1, false, "/RESET"}};
  layout.parts = {u3, r12};
  BoardType type;
  type.name = "logger main";
  type.layout = nlohmann::json::parse(layout_json(layout));
  Board board{"board 1"};
  board.type = s.book.put("type", {"", "board-type", {}, to_body(type)});
  s.book.put("assigned", {s.board, "board", {}, to_body(board)});
  const auto pairs = surveyed_sides(s.book, s.board).at(0).pairs;
  REQUIRE(pairs.size() == 1);
  CHECK(words(pairs[0].pair) == "net /RESET: U3 pin 5 to R12 pin 1");
}

TEST_CASE("the unit's record follows the work that takes its battery out") {
  Unit u = Shelf::named_unit();
  u.battery.fitted = u.battery.leaking = Answer3::yes;
  u.battery.keeps_data = Answer3::no;
  Shelf s(u);
  const auto removed_on = [&s] { return unit_from(s.book.get(s.unit).body).battery.removed_on; };
  const auto is_leaking = [&s] { return queue_of(s.book).front().harm == Harm::leaking_battery; };
  WorkItem off;
  off.operation = Operation::remove_battery;
  const Plan plan = with_item(with_known(s.plan(), known_of(u)), off);
  const std::string id = item_with(plan, Operation::remove_battery).id;
  const Plan done = ticked(plan, id, {"Ada", "2026-03-02", {}});
  keep_plan(s.book, s.board, plan, "planned");
  CHECK(is_leaking());
  keep_plan(s.book, s.board, done, "ticked off");
  CHECK(removed_on() == "2026-03-02");
  CHECK_FALSE(is_leaking());
  keep_plan(s.book, s.board, unticked(done, id), "the tick was wrong");
  CHECK(removed_on().empty());
  CHECK(is_leaking());

  // Another board of the unit whose battery is still on.
  const std::string other = s.book.put("board", {"", "board", s.unit, to_body(Board{"board 2"})});
  keep_plan(s.book, other, plan, "planned");
  keep_plan(s.book, s.board, done, "ticked off");
  CHECK(removed_on().empty());
  keep_plan(s.book, other, done, "ticked off");
  CHECK(removed_on() == "2026-03-02");
}

TEST_CASE("the queue adds up over units by one worker") {
  Shelf s;
  Plan plan = s.plan();
  plan.known.owner_value = 250;
  keep_plan(s.book, s.board, plan, "planned");
  const auto one = plan_figures(s.book, s.unit);
  REQUIRE(one);
  CHECK(one->owner_value == 250);
  const std::string other = s.book.put("received", {"", "unit", {}, to_body(Shelf::named_unit())});
  CHECK_FALSE(plan_figures(s.book, other));
  const std::string board = s.book.put("board", {"", "board", other, to_body(Board{"board 1"})});
  keep_plan(s.book, board, plan, "planned");
  const std::vector<QueueRow> rows = queue_of(s.book);
  REQUIRE(rows.size() == 2);
  CHECK(rows.front().plan->allow_min == Approx(one->allow_min));
  CHECK(rows.front().power.starts_with("LOCKED"));
  const Estimate both = queue_estimate(s.book);
  CHECK(both.boards.size() == 2);
  CHECK(both.total.likely_min > one->likely_min * 1.9);
  CHECK(both.total.allow_min < one->allow_min * 2);
  // A second board of one unit is added to its first by the same worker.
  const std::string second = s.book.put("board", {"", "board", s.unit, to_body(Board{"board 2"})});
  keep_plan(s.book, second, plan, "planned");
  CHECK(plan_figures(s.book, s.unit)->owner_value == 500);
  CHECK(plan_figures(s.book, s.unit)->allow_min < 2 * one->allow_min);
  CHECK(plan_figures(s.book, s.unit)->likely_min == Approx(2 * one->likely_min).epsilon(0.05));
}
