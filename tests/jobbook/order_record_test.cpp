#include "jobbook/order_record.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/plan_record.h"
#include "plan/edit_plan.h"
#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

// Two units with a board each; both plans ask for C1 and C2, 100 uF 16 V.
struct TwoUnits {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options("Ada"));
  std::string units[2], boards[2];

  TwoUnits() {
    for (size_t i = 0; i < 2; ++i) {
      Unit u;
      u.name = i == 0 ? "logger" : "sampler";
      u.owner = "Someone Private";
      units[i] = book.put("received", {"", "unit", {}, to_body(u)});
      boards[i] = book.put("board", {"", "board", units[i], to_body(Board{"main"})});
      Plan p = plan();
      p.sides.front().photo_sha256 = book.add_file(bytes_of("a photo"));
      keep_plan(book, boards[i], p, "planned");
    }
  }
  static Plan plan() {
    WorkItem w;
    w.operation = Operation::replace_leaded_can;
    w.stage = facts(w.operation).stage;
    w.what = "replace";
    w.quantity = 2;
    for (const char* d : {"C1", "C2"})
      w.parts.push_back(
          {d, PartKind::aluminium_radial, "100uF", "16V", "CP_Radial_D6.3mm_P2.50mm"});
    Plan p = plan_of("main", {side_of({})}, {}, starting_rates());
    return with_item(p, w);
  }
  void log(const BenchEntry& entry) {
    change_bench(book, boards[0], "bench", [&](const std::optional<Plan>&, const BenchLog& log) {
      return BenchKeep{with_entry(log, entry), {}};
    });
  }
  std::vector<std::string> in_state(OrderState state) const {
    std::vector<std::string> list;
    for (const NeededPart& p : needed_parts(book))
      if (p.state == state) list.push_back(p.unit_name + " " + p.designator);
    return list;
  }
  // Revisions of the values of the first board's plan and of the board itself.
  void tell_revisions(const std::string& of_values, const std::string& of_board) {
    Plan p = *kept_plan(book, boards[0]);
    for (WorkItem& w : p.items)
      for (ItemPart& part : w.parts) part.revision = of_values;
    keep_plan(book, boards[0], p, "planned");
    Board b{"main"};
    b.revision = of_board;
    book.put("board", {boards[0], "board", {}, to_body(b)});
  }
};

}  // namespace

TEST_CASE("one order goes over the whole shelf, arrives, and each part is fitted by its tick") {
  TwoUnits t;
  CHECK(t.in_state(OrderState::needed).size() == 4);
  const std::vector<Edit> edits = order_edits(t.book, {}, "a shop");
  const std::string order = t.book.change("ordered", edits).front();
  CHECK(t.in_state(OrderState::ordered).size() == 4);
  const PlacedOrder placed = placed_orders(t.book).front();
  CHECK(placed.id == order);
  CHECK(placed.parts == 4);
  CHECK(placed.csv.find("4,aluminium-radial,100 uF,16,6.3,,2.5") != std::string::npos);
  CHECK(placed.csv.find("Private") == std::string::npos);
  CHECK_THROWS_AS(order_edits(t.book, {}, ""), Error);
  t.book.change("fitted one", part_edits(t.book, {{t.boards[0], "C1"}}, {OrderState::fitted}));
  t.book.change("arrived", arrival_edits(t.book, order));
  CHECK(t.in_state(OrderState::arrived).size() == 3);
  CHECK(t.in_state(OrderState::fitted) == std::vector<std::string>{"logger C1"});
  CHECK(placed_orders(t.book).front().arrived == 4);
  CHECK_THROWS_AS(arrival_edits(t.book, order), Error);
  Plan plan = *kept_plan(t.book, t.boards[1]);
  plan = ticked(plan, item_with(plan, Operation::replace_leaded_can).id, {"Ada", "2026-03-01", {}});
  keep_plan(t.book, t.boards[1], plan, "ticked");
  CHECK(t.in_state(OrderState::fitted).size() == 3);
  for (int i = 0; i < 4; ++i) t.book.undo(*t.book.last_step());
  CHECK(t.in_state(OrderState::needed).size() == 4);
  CHECK(placed_orders(t.book).empty());
  CHECK(t.book.faults().empty());
}

TEST_CASE("back on in the ledger fits a part that is here and off again takes it back") {
  TwoUnits t;
  int minutes = 0;
  const auto move = [&](const char* designator, PartState state) {
    t.log({"Ada", fmt::format("2026-03-02T10:{:02}:00Z", ++minutes),
           PartMove{designator, state, ""}});
  };
  const auto state_of_c1 = [&t] { return needed_parts(t.book)[0].state; };
  move("C1", PartState::off);
  move("C1", PartState::back_on);  // the old one, looked under
  CHECK(state_of_c1() == OrderState::needed);
  const std::string order = t.book.change("ordered", order_edits(t.book, {}, "")).front();
  CHECK(state_of_c1() == OrderState::ordered);
  t.book.change("arrived", arrival_edits(t.book, order));
  move("C1", PartState::off);
  CHECK(state_of_c1() == OrderState::arrived);
  move("C1", PartState::back_on);
  CHECK(state_of_c1() == OrderState::fitted);
  CHECK(t.in_state(OrderState::fitted) == std::vector<std::string>{"logger C1"});
  move("C1", PartState::off);
  CHECK(state_of_c1() == OrderState::arrived);
}

TEST_CASE("what came back on before its new part was here does not fit it") {
  const std::vector<LedgerRow> on{{"C1", PartState::back_on, "", "Ada", "2026-03-02T10:00:00Z"}};
  using S = OrderState;
  CHECK(state_with_ledger(S::arrived, "2026-03-02T09:00:00Z", "C1", on) == S::fitted);
  CHECK(state_with_ledger(S::in_drawer, "2026-03-02", "C1", on) == S::fitted);
  CHECK(state_with_ledger(S::arrived, "2026-03-02T11:00:00Z", "C1", on) == S::arrived);
  CHECK(state_with_ledger(S::arrived, "2026-03-02T09:00:00Z", "C2", on) == S::arrived);
  CHECK(state_with_ledger(S::ordered, "2026-03-02T09:00:00Z", "C1", on) == S::ordered);
  CHECK(state_with_ledger(S::needed, "2026-03-02T09:00:00Z", "C1", on) == S::needed);
}

TEST_CASE("a value of another board revision is never ordered until a person reads it") {
  TwoUnits t;
  t.tell_revisions("B", "C");
  std::vector<NeededPart> parts = needed_parts(t.book);
  CHECK_FALSE(parts[0].why_not.empty());
  CHECK(order_lines(parts).front().parts.size() == 2);
  t.book.change("told", part_edits(t.book, {{t.boards[0], "C1"}}, {.value = "100 uF"}));
  parts = needed_parts(t.book);
  CHECK(parts[0].why_not.empty());
  CHECK(parts[0].value_from == "told by Ada");
  CHECK(order_lines(parts).front().parts.size() == 3);
  t.tell_revisions("C", "C");
  CHECK(needed_parts(t.book)[1].why_not.empty());
  CHECK(needed_parts(t.book)[1].value_from == "Of this board's revision, C.");
}

TEST_CASE("print and old part and meter that disagree keep a part off every order") {
  TwoUnits t;
  const auto read = [&t](const std::string& meter) {
    const PartReading reading{"C1", ReadingOf::value, "100 uF", "100 uF", meter};
    t.log({"Ada", "2026-03-01T10:00:00Z", reading});
  };
  read("47 uF");
  CHECK(needed_parts(t.book)[0].why_not.starts_with("ASK"));
  t.book.change("told", part_edits(t.book, {{t.boards[0], "C1"}}, {.value = "100 uF"}));
  CHECK(needed_parts(t.book)[0].why_not.starts_with("ASK"));
  CHECK(order_lines(needed_parts(t.book)).front().parts.size() == 3);
  read("102 uF");
  CHECK(needed_parts(t.book)[0].why_not.empty());
}

TEST_CASE("the drawer is counted, gives what fits, and its undo puts it back") {
  TwoUnits t;
  const PartSpec can{PartKind::aluminium_radial, "100 uF", 25, 6.3, 11, 2.5};
  t.book.change("drawer", stock_edits(t.book, {can, 3, "long life"}));
  t.book.change("drawer", stock_edits(t.book, {can, -1, "long life"}));
  CHECK_THROWS_AS(stock_edits(t.book, {can, -3, "long life"}), Error);
  CHECK_THROWS_AS(stock_edits(t.book, {can, 0, ""}), Error);
  CHECK_THROWS_AS(stock_edits(t.book, {PartSpec{}, 2, ""}), Error);
  t.book.change("taken", taking_edits(t.book, {}));
  CHECK(t.in_state(OrderState::in_drawer) == std::vector<std::string>{"logger C1", "logger C2"});
  CHECK(needed_parts(t.book)[0].substitute == "25 V for 16 V, from the drawer");
  CHECK(drawer_of(t.book).empty());
  CHECK_THROWS_AS(taking_edits(t.book, {}), Error);
  t.book.undo(*t.book.last_step());
  CHECK(drawer_of(t.book) == std::vector<StockRow>{{can, 2, "long life"}});
  CHECK(t.in_state(OrderState::needed).size() == 4);
}

TEST_CASE("a part that no plan asks for and a size that cannot be are refused") {
  TwoUnits t;
  CHECK_THROWS_AS(part_edits(t.book, {{t.boards[0], "C9"}}, {OrderState::fitted}), Error);
  CHECK_THROWS_AS(part_edits(t.book, {{t.boards[0], "C1"}}, {.volts = -1}), Error);
  CHECK_THROWS_AS(part_edits(t.book, {{t.boards[0], "C1"}}, {.height_mm = 1e6}), Error);
  CHECK_THROWS_AS(arrival_edits(t.book, t.units[0]), Error);
  Unit u = unit_from(t.book.get(t.units[0]).body);
  u.state = "handed over";
  t.book.put("gone", {t.units[0], "unit", {}, to_body(u)});
  CHECK(needed_parts(t.book).size() == 2);
}
