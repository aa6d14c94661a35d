// Orders and Owner at the window: over the shelf, undoable, kept in the job book.
#include <barrier>
#include <catch2/catch.hpp>
#include <thread>

#include "jobbook/bench_record.h"
#include "jobbook/plan_record.h"
#include "plan/edit_plan.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

// An open photo whose plan replaces C1 and states money per hour.
struct Shop {
  OpenDesk open;
  Screen screen;

  Shop() {
    open.photo();
    open.desk.perform(MakePlan{});
    WorkItem w;
    w.operation = Operation::replace_leaded_can;
    w.stage = facts(w.operation).stage;
    w.what = "replace";
    w.parts = {{"C1", PartKind::aluminium_radial, "100uF", "16V", "CP_Radial_D6.3mm_P2.50mm"}};
    open.desk.perform(AddItem{w});
    Plan plan = *open.desk.plan().plan;
    plan.rates.money_per_hour = 60;
    keep_plan(open.desk.book(), open.desk.intake().board_id, plan, "money");
    open.desk.perform(ReadShelf{});
    Unit unit = open.desk.intake().unit;
    unit.name = "logger";
    open.desk.perform(PutUnit{unit, "name"});
    open.finish();
  }
  Desk& desk() { return open.desk; }
  void perform(const DeskAction& action) {
    open.desk.perform(action);
    open.finish();
  }
  // Frames until the panel has asked for nothing more.
  void draw(Step step) {
    screen.state.step = step;
    for (int i = 0; i < 3; ++i) {
      screen.frame(open.desk);
      screen.perform(open);
    }
  }
  OrderState state_of_c1() { return open.desk.shelf().parts.front().state; }
};

}  // namespace

TEST_CASE("the shelf is read when Orders is opened, and each order is one step back") {
  Shop s;
  s.draw(Step::orders);
  REQUIRE(s.desk().shelf().is_read);
  REQUIRE(s.desk().shelf().parts.size() == 1);
  PlaceOrder order;
  order.from = "a shop";
  s.perform(order);
  CHECK(s.state_of_c1() == OrderState::ordered);
  REQUIRE(s.desk().shelf().orders.size() == 1);
  s.perform(OrderArrived{s.desk().shelf().orders.front().id});
  CHECK(s.state_of_c1() == OrderState::arrived);
  s.perform(Undo{});
  CHECK(s.state_of_c1() == OrderState::ordered);
  s.perform(Undo{});
  CHECK(s.state_of_c1() == OrderState::needed);
  CHECK(s.desk().shelf().orders.empty());
  s.perform(Redo{});
  CHECK(s.state_of_c1() == OrderState::ordered);
  s.draw(Step::orders);
}

TEST_CASE("K at the bench fits a part that arrived and its undo takes that back") {
  Shop s;
  s.perform(PlaceOrder{});
  s.perform(OrderArrived{s.desk().shelf().orders.front().id});
  s.perform(LogBench{PartMove{"C1", PartState::off, ""}});
  CHECK(s.state_of_c1() == OrderState::arrived);
  s.perform(LogBench{PartMove{"C1", PartState::back_on, ""}});
  CHECK(s.state_of_c1() == OrderState::fitted);
  s.draw(Step::orders);
  s.perform(Undo{});
  CHECK(s.state_of_c1() == OrderState::arrived);
}

TEST_CASE("a step is not taken back over what another program has added since") {
  Shop s;
  const std::string board = s.desk().intake().board_id;
  const auto entries = [&] { return bench_log_of(s.desk().book(), board).entries.size(); };
  s.perform(LogBench{ShiftNote{"mine"}});
  JobBook other = JobBook::open(s.open.scratch.book(), fixed_options("Bea"));
  const auto note = [](const char* text) {
    return [text](const std::optional<Plan>&, const BenchLog& log) {
      return BenchKeep{with_entry(log, {"Bea", log.entries.back().at, ShiftNote{text}}), {}};
    };
  };
  change_bench(other, board, "bench", note("theirs"));
  s.perform(LogBench{ShiftNote{"mine again"}});
  CHECK(entries() == 3);
  s.perform(Undo{});
  CHECK(entries() == 2);
  s.desk().perform(Undo{});
  CHECK(entries() == 2);
  CHECK(s.desk().messages().back().sentence.find("another program") != std::string::npos);
  CHECK(s.desk().history().can_undo());
}

TEST_CASE("what an hour costs takes nothing from what another program writes meanwhile") {
  Shop s;
  const std::string board = s.desk().intake().board_id;
  constexpr int k_rounds = 12;
  const size_t before = s.desk().plan().plan->items.size();
  std::barrier round(2);  // one change of each at the same time, so that neither starves
  std::thread other([&] {
    JobBook book = JobBook::open(s.open.scratch.book(), fixed_options("Bea"));
    WorkItem w;
    w.operation = Operation::photograph;
    w.stage = facts(w.operation).stage;
    for (int i = 0; i < k_rounds; ++i) {
      round.arrive_and_wait();
      book.change_by(
          "add", [&] { return plan_edits(book, board, with_item(*kept_plan(book, board), w)); });
    }
  });
  for (int i = 0; i < k_rounds; ++i) {
    round.arrive_and_wait();
    s.desk().perform(SetHour{10.0 + i, "EUR"});
  }
  other.join();
  s.open.finish();
  const Plan plan = *kept_plan(s.desk().book(), board);
  CHECK(plan.items.size() == before + k_rounds);
  CHECK(plan.rates.money_per_hour == 10.0 + k_rounds - 1);
}

TEST_CASE("a part is told, the drawer is filled and gives it") {
  Shop s;
  const NeededPart p = s.desk().shelf().parts.front();
  s.perform(TellPart{p.board, "C1", {.value = "220 uF", .height_mm = 11.0}, "C1"});
  CHECK(s.desk().shelf().parts.front().spec.value == "220 uF");
  s.perform(ChangeStock{{s.desk().shelf().parts.front().spec, 2, ""}});
  s.perform(TakeFromDrawer{{}});
  CHECK(s.state_of_c1() == OrderState::in_drawer);
  CHECK(s.desk().shelf().drawer.front().count == 1);
  s.perform(Undo{});
  CHECK(s.desk().shelf().drawer.front().count == 2);
}

TEST_CASE("a quote is made, answered and alarms at the window") {
  Shop s;
  s.draw(Step::owner);
  REQUIRE(s.desk().owner().cost);
  CHECK(s.desk().owner().cost->allow > s.desk().owner().cost->likely);
  s.perform(MakeQuote{{20, 30, {}}});
  REQUIRE(s.desk().owner().quotes.size() == 1);
  s.perform(AnswerQuote{{QuoteState::agreed, 1.0, "go on"}});
  CHECK(s.desk().owner().quotes.front().quote.state == QuoteState::agreed);
  CHECK(s.desk().owner().alarm.starts_with("Call the owner"));
  s.draw(Step::owner);
  s.perform(Undo{});
  s.perform(Undo{});
  CHECK(s.desk().owner().quotes.empty());
  CHECK(s.desk().owner().alarm.empty());
}

TEST_CASE("what an hour costs is told at the window and the cost follows") {
  Shop s;
  const double likely = s.desk().owner().cost->likely;
  const auto labour_of = [&](double money) {
    s.perform(SetHour{money, "EUR"});
    return s.desk().owner().cost ? s.desk().owner().cost->likely : -1;
  };
  // Labour is proportional to the price of an hour; parts and consumables are not touched by it.
  const double at_60 = labour_of(60), at_90 = labour_of(90), at_120 = labour_of(120);
  CHECK(at_60 == Approx(likely));
  CHECK(at_120 - at_90 == Approx(at_90 - at_60));
  CHECK(at_120 > at_90);
  CHECK(labour_of(0) == -1);
  s.draw(Step::owner);
  s.perform(Undo{});
  CHECK(s.desk().plan().plan->rates.money_per_hour == 120);
}

TEST_CASE("hand-over, a look again and a comeback are steps that can be taken back") {
  Shop s;
  s.perform(HandOverUnit{{"the old fan"}});
  CHECK(s.desk().intake().unit.state == "handed over");
  REQUIRE(s.desk().owner().hand_overs.size() == 1);
  s.perform(LookedAgain{"nothing new"});
  CHECK(s.desk().owner().hand_overs.front().look_again.front().found == "nothing new");
  s.perform(CameBack{"it smells"});
  CHECK(s.desk().intake().unit.state == "received");
  CHECK(s.desk().owner().visits.size() == 1);
  s.draw(Step::owner);
  for (int i = 0; i < 3; ++i) s.perform(Undo{});
  CHECK(s.desk().intake().unit.state != "handed over");
  CHECK(s.desk().owner().hand_overs.empty());
  CHECK(s.desk().owner().visits.empty());
}

TEST_CASE("rates learn once from the minutes that were logged") {
  Shop s;
  const std::string id = s.desk().plan().plan->items.front().id;
  s.perform(TickItem{id, true});
  s.perform(LogMinutes{id, 9});
  REQUIRE(s.desk().shelf().jobs.size() == 1);
  const RateTable before = s.desk().plan().plan->rates;
  s.perform(LearnRates{});
  const RateTable learned = s.desk().plan().plan->rates;
  CHECK_FALSE(learned == before);
  s.perform(LearnRates{});
  CHECK(s.desk().plan().plan->rates == learned);
  s.perform(Undo{});
  CHECK(s.desk().plan().plan->rates == before);
}

TEST_CASE("the papers are written beside the job book") {
  Shop s;
  s.perform(MakeQuote{{0, 30, {}}});
  s.perform(SaveQuote{});
  s.perform(SaveHandOver{{"the fan"}});
  s.perform(SaveOrder{{}});
  const std::filesystem::path sheets = s.open.scratch.book() / "sheets";
  CHECK(std::filesystem::exists(sheets / "quote logger.pdf"));
  CHECK(std::filesystem::exists(sheets / "hand-over logger.pdf"));
  CHECK(std::filesystem::exists(sheets / "order 2026-03-01.csv"));
}
