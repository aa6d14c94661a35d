#include "jobbook/owner_record.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/exchange.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/queue.h"
#include "plan/edit_plan.h"
#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"
#include "tests/process.h"

using namespace verdigrid;

namespace {

// A planned unit with money per hour; the day can be moved.
struct Job {
  Scratch scratch;
  std::shared_ptr<std::string> day = std::make_shared<std::string>("2026-03-01");
  JobBook book;
  std::string unit, board;

  explicit Job(const std::string& who = "Ada")
      : book(JobBook::create(scratch.book(), options(who))) {
    Unit u;
    u.name = "logger";
    u.owner = "Someone Private";
    unit = book.put("received", {"", "unit", {}, to_body(u)});
    board = book.put("board", {"", "board", unit, to_body(Board{"main"})});
    Plan plan = leaked_plan(agreed());
    plan.rates.money_per_hour = 60;
    plan.sides.front().photo_sha256 = book.add_file(bytes_of("a photo"));
    keep_plan(book, board, plan, "planned");
  }
  JobBookOptions options(const std::string& who) const {
    JobBookOptions o = fixed_options(who);
    o.now = [day = day] { return *day + "T10:00:00Z"; };
    return o;
  }
  void quote(const QuoteTerms& terms = {20, 30, {}}) {
    book.change("quoted", quote_edits(book, unit, terms));
  }
  void add_work() {
    Plan plan = *kept_plan(book, board);
    WorkItem w;
    w.operation = Operation::repair_pad;
    w.stage = facts(w.operation).stage;
    w.what = "repair pads";
    w.quantity = 20;
    keep_plan(book, board, with_item(plan, w), "found more");
  }
  const QueueRow* row() {
    rows = queue_of(book);
    for (const QueueRow& r : rows)
      if (r.unit == unit) return &r;
    return nullptr;
  }
  std::vector<QueueRow> rows;
};

}  // namespace

TEST_CASE("a quote is made, sent and agreed, and a surprise is said in the queue") {
  Job j;
  CHECK_THROWS_AS(answer_edits(j.book, j.unit, {QuoteState::agreed}), Error);
  j.quote();
  j.book.change("sent", answer_edits(j.book, j.unit, {QuoteState::sent}));
  j.book.change("agreed", answer_edits(j.book, j.unit, {QuoteState::agreed, {}, "go on"}));
  const KeptQuote kept = quotes_of(j.book, j.unit).front();
  CHECK(kept.quote.state == QuoteState::agreed);
  CHECK(kept.quote.sent_on == "2026-03-01");
  CHECK(kept.who == "Ada");
  CHECK(kept.owner_said == "go on");
  CHECK(j.row()->money.empty());
  j.add_work();
  CHECK(j.row()->money.starts_with("Call the owner"));
  CHECK(money_alarm(j.book, j.unit, "2026-03-01") == j.row()->money);
  j.quote();
  CHECK(quotes_of(j.book, j.unit).back().quote.number == 2);
  CHECK(j.row()->money.empty());
  for (int i = 0; i < 2; ++i) j.book.undo(*j.book.last_step());
  CHECK(quotes_of(j.book, j.unit).size() == 1);
  CHECK(j.row()->money.empty());
}

TEST_CASE("a quote that ran out cannot be agreed to, and nobody's name signs nothing") {
  Job j;
  j.quote();
  *j.day = "2026-04-15";
  CHECK_THROWS_AS(answer_edits(j.book, j.unit, {QuoteState::agreed}), Error);
  CHECK_FALSE(j.row()->money.empty());
  CHECK_THROWS_AS(answer_edits(j.book, j.unit, {QuoteState::sent, -5.0, ""}), Error);
  Job unsigned_job(k_nobody);
  CHECK_THROWS_AS(quote_edits(unsigned_job.book, unsigned_job.unit, {}), Error);
}

TEST_CASE("days to look again come at 1 and 3 and 12 months and stand in today's list") {
  Job j;
  j.book.change("given", hand_over_edits(j.book, j.unit, {"the old fan"}));
  CHECK(unit_from(j.book.get(j.unit).body).state == "handed over");
  CHECK_THROWS_AS(hand_over_edits(j.book, j.unit, {}), Error);
  const HandOver h = hand_overs_of(j.book, j.unit).front();
  CHECK(h.watch == std::vector<std::string>{"the old fan"});
  REQUIRE(h.look_again.size() == 3);
  CHECK(h.look_again[0].on == "2026-04-01");
  CHECK(h.look_again[1].on == "2026-06-01");
  CHECK(h.look_again[2].on == "2027-03-01");
  *j.day = "2026-03-31";
  CHECK_FALSE(j.row());
  *j.day = "2026-04-01";
  REQUIRE(j.row());
  CHECK(j.row()->look_again_on == "2026-04-01");
  j.book.change("looked", looked_again_edits(j.book, j.unit, "nothing new"));
  CHECK_FALSE(j.row());
  *j.day = "2026-07-01";
  CHECK(j.row()->look_again_on == "2026-06-01");
  for (int i = 0; i < 2; ++i)
    j.book.change("looked", looked_again_edits(j.book, j.unit, "nothing new"));
  CHECK_THROWS_AS(looked_again_edits(j.book, j.unit, "again"), Error);
}

TEST_CASE("a comeback opens a visit beside the hand-over photos and locks the board again") {
  Job j;
  KeptPhoto p;
  p.sha256 = j.book.add_file(bytes_of("as handed over"));
  p.role = "handed over";
  const std::string photo = j.book.put("photo", {"", "photo", j.board, to_body(p)});
  CHECK_THROWS_AS(came_back_edits(j.book, j.unit, ""), Error);
  j.book.change("given", hand_over_edits(j.book, j.unit, {}));
  *j.day = "2026-05-01";
  const size_t log = lock_of(j.book, j.board, "Ada", *j.day).log.size();
  j.book.change("back", came_back_edits(j.book, j.unit, "it smells"));
  CHECK(unit_from(j.book.get(j.unit).body).state == "received");
  const Visit v = visits_of(j.book, j.unit).front();
  CHECK(v.number == 2);
  CHECK(v.photos == std::vector<std::string>{photo});
  CHECK(v.owner_said == "it smells");
  const PowerLock lock = lock_of(j.book, j.board, "Ada", *j.day);
  REQUIRE(lock.log.size() == log + 1);
  CHECK(lock.log.back().kind == LockEntryKind::finding);
  CHECK_FALSE(state_of(lock, *j.day).is_cleared);
  CHECK(j.row()->look_again_on.empty());
  CHECK(due_looks(j.book, *j.day).empty());
  CHECK(j.book.faults().empty());
  j.book.change("given again", hand_over_edits(j.book, j.unit, {}));
  j.book.change("back again", came_back_edits(j.book, j.unit, ""));
  CHECK(visits_of(j.book, j.unit).back().number == 3);
}

TEST_CASE("what the owner said is forgotten with the owner and left out of an export") {
  Job j;
  j.quote();
  j.book.change("agreed", answer_edits(j.book, j.unit, {QuoteState::agreed, {}, "Secret words"}));
  j.book.change("given", hand_over_edits(j.book, j.unit, {}));
  j.book.change("back", came_back_edits(j.book, j.unit, "Secret smell"));
  export_unit(j.book, j.unit, j.scratch.folder / "out", OwnerData::leave_out);
  CHECK(test::text_of(j.scratch.folder / "out" / "unit.json").find("Secret") == std::string::npos);
  j.book.forget_owner(j.unit);
  CHECK(quotes_of(j.book, j.unit).front().owner_said.empty());
  CHECK(quotes_of(j.book, j.unit).front().quote.state == QuoteState::agreed);
  CHECK(visits_of(j.book, j.unit).front().owner_said.empty());
  for (const Change& c : j.book.history(j.unit))
    for (const auto& body : {c.before, c.after})
      if (body) CHECK(body->dump().find("Secret") == std::string::npos);
}

TEST_CASE("a battery that keeps data blocks its removal until the unit's record settles it") {
  Job j;
  Plan plan = *kept_plan(j.book, j.board);
  WorkItem w;
  w.operation = Operation::remove_battery;
  w.stage = facts(w.operation).stage;
  w.what = "remove battery";
  plan = with_item(plan, w);
  keep_plan(j.book, j.board, plan, "planned");
  const auto block = [&j] {
    const Plan kept = *kept_plan(j.book, j.board);
    return block_of(kept, item_with(kept, Operation::remove_battery));
  };
  const auto tell = [&j](auto change) {
    Unit u = unit_from(j.book.get(j.unit).body);
    change(u.battery);
    j.book.put("told", {j.unit, "unit", {}, to_body(u)});
  };
  CHECK_FALSE(block().empty());  // nobody knows
  tell([](Battery& b) { b.keeps_data = Answer3::yes; });
  CHECK(block().find("read them out first") != std::string::npos);
  CHECK_THROWS_AS(ticked(*kept_plan(j.book, j.board), item_with(plan, Operation::remove_battery).id,
                         {"Ada", "2026-03-01", {}}),
                  Error);
  tell([](Battery& b) { b.loss_accepted = Signature{"Ada", "2026-03-01T10:00:00Z"}; });
  CHECK(block().empty());
  tell([](Battery& b) { b.loss_accepted.reset(), b.keeps_data = Answer3::no; });
  CHECK(block().empty());
}
