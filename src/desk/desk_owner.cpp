// The desk between bench and owner: parts over the whole shelf, quotes, hand-over, comebacks, and
// what logged minutes say of the estimates.

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "desk/desk.h"
#include "jobbook/order_record.h"
#include "jobbook/owner_record.h"
#include "jobbook/plan_record.h"
#include "report/document_pdf.h"
#include "report/owner_papers.h"

namespace verdigrid {

// Parts and minutes of the whole shelf are read by a job with a job book of its own; once asked for
// they follow every change.
void Desk::refresh_shelf() {
  if (!shelf_is_wanted_) return;
  jobs_.start("shelf", "Reading the shelf",
              [this, book = options_.job_book, options = options_.book](const Work& work) -> Apply {
                const JobBook other = JobBook::open(book, options, Open::read_only);
                ShelfView shelf;
                shelf.parts = needed_parts(other);
                work.check();
                shelf.drawer = drawer_of(other);
                shelf.orders = placed_orders(other);
                shelf.jobs = jobs_against_estimate(other);
                return [this, shelf = std::move(shelf)]() mutable {
                  shelf_ = std::move(shelf);
                  shelf_.is_read = true;
                };
              });
}

void Desk::refresh_owner() {
  owner_ = {};
  jobs_.cancel("cost");
  if (open_.unit.empty()) return;
  owner_.quotes = quotes_of(book_, open_.unit);
  owner_.hand_overs = hand_overs_of(book_, open_.unit);
  owner_.visits = visits_of(book_, open_.unit);
  if (!plan_.plan && owner_.quotes.empty()) return;
  jobs_.start("cost", "Adding up the job",
              [this, unit = open_.unit, date = today(), book = options_.job_book,
               options = options_.book](const Work& work) -> Apply {
                const JobBook other = JobBook::open(book, options, Open::read_only);
                OwnerView view;
                try {
                  view.cost = unit_cost(other, unit, work);
                } catch (const Error& e) {
                  if (e.kind() != ErrorKind::bad_input && e.kind() != ErrorKind::wrong_use) throw;
                  view.no_cost = e.what();
                }
                view.alarm = money_alarm(other, unit, date);
                return [this, unit, view] {
                  if (open_.unit != unit) return;
                  owner_.cost = view.cost;
                  owner_.no_cost = view.no_cost;
                  owner_.alarm = view.alarm;
                };
              });
}

// A panel asks again in every frame until the shelf is there.
void Desk::run(const ReadShelf&) {
  if (jobs_.is_pending("shelf")) return;
  shelf_is_wanted_ = true;
  refresh_shelf();
}

void Desk::run(const TellPart& a) {
  if (!document_) return;
  change_book_by([&] { return part_edits(book_, {{a.board, a.designator}}, a.change); }, a.label);
}

void Desk::run(const PlaceOrder& a) {
  if (!document_) return;
  change_book_by([&] { return order_edits(book_, a.options, a.from); }, "Order parts");
}

void Desk::run(const OrderArrived& a) {
  if (!document_) return;
  change_book_by([&] { return arrival_edits(book_, a.order); }, "Order arrived");
}

void Desk::run(const ChangeStock& a) {
  if (!document_) return;
  change_book_by([&] { return stock_edits(book_, a.row); }, "Drawer: " + words(a.row.spec));
}

void Desk::run(const TakeFromDrawer& a) {
  if (!document_) return;
  change_book_by([&] { return taking_edits(book_, a.options); }, "Take from the drawer");
}

void Desk::run(const SaveOrder& a) {
  const std::vector<OrderLine> lines = order_lines(shelf_.parts, a.options);
  if (lines.empty()) return say("There is nothing to order.");
  save_text("order " + today() + ".csv", order_csv(lines, shelf_.parts));
}

void Desk::run(const SetHour& a) {
  if (!document_) return;
  if (!(a.money >= 0)) return say("What an hour costs is zero or more: type it again.");
  const auto edits = [&] {
    std::vector<Edit> all;
    for (const Record& board : book_.children(open_.unit, "board")) {
      std::optional<Plan> plan = kept_plan(book_, board.id);
      if (!plan) continue;
      plan->rates.money_per_hour = a.money;
      plan->rates.currency = a.currency;
      for (Edit& edit : plan_edits(book_, board.id, *plan)) all.push_back(std::move(edit));
    }
    return all;
  };
  change_book_by(edits, "What an hour costs");
}

void Desk::run(const MakeQuote& a) {
  if (!document_) return;
  change_book_by([&] { return quote_edits(book_, open_.unit, a.terms); }, "Quote");
}

void Desk::run(const AnswerQuote& a) {
  if (!document_) return;
  change_book_by([&] { return answer_edits(book_, open_.unit, a.answer); },
                 fmt::format("Quote: {}", name(a.answer.state)));
}

void Desk::run(const SaveQuote&) {
  if (!document_) return;
  save_sheet("quote " + intake_.unit.name, document_pdf(quote_document(book_, open_.unit)));
}

void Desk::run(const HandOverUnit& a) {
  if (!document_) return;
  change_book_by([&] { return hand_over_edits(book_, open_.unit, a.watch); }, "Hand over");
}

void Desk::run(const SaveHandOver& a) {
  if (!document_) return;
  jobs_.start("hand-over", "Writing the hand-over sheet",
              [this, unit = open_.unit, unit_name = intake_.unit.name, watch = a.watch,
               book = options_.job_book, options = options_.book](const Work& work) -> Apply {
                const JobBook other = JobBook::open(book, options, Open::read_only);
                const Bytes pdf = document_pdf(
                    hand_over_document(other, unit, watch, OwnerName::leave_out, work));
                return [this, unit_name, pdf] { save_sheet("hand-over " + unit_name, pdf); };
              });
}

void Desk::run(const LookedAgain& a) {
  if (!document_) return;
  change_book_by([&] { return looked_again_edits(book_, open_.unit, a.found); }, "Looked again");
}

void Desk::run(const CameBack& a) {
  if (!document_) return;
  change_book_by([&] { return came_back_edits(book_, open_.unit, a.owner_said); }, "Came back");
}

void Desk::run(const LearnRates&) {
  if (!document_ || !plan_.plan) return say("There is no plan of this board yet: make one first.");
  const RateTable& rates = plan_.plan->rates;
  if (has_learned(rates))
    return say(
        "The rates of this plan have learned already; learning twice from one job would "
        "count it twice. Make the plan anew, then let it learn.");
  std::vector<Actual> actuals;
  for (const JobAgainst& job : shelf_.jobs) actuals.push_back(job.actual);
  if (actuals.empty()) return say("No minutes are logged yet.");
  const auto edits = [&]() -> std::vector<Edit> {
    std::optional<Plan> plan = kept_plan(book_, intake_.board_id);
    if (!plan || has_learned(plan->rates)) return {};
    plan->rates = learned_rates(plan->rates, actuals, book_.options().who);
    return plan_edits(book_, intake_.board_id, *plan);
  };
  change_book_by(edits, "Rates learn from logged minutes");
}

void Desk::run(const SaveActuals&) {
  const std::string& who = book_.options().who;
  const bool is_mine = std::any_of(shelf_.jobs.begin(), shelf_.jobs.end(),
                                   [&who](const JobAgainst& j) { return j.actual.person == who; });
  if (!is_mine) return say(fmt::format("No minutes of {} are logged yet.", who));
  save_text("minutes " + today() + ".csv", actuals_csv(shelf_.jobs, who));
}

}  // namespace verdigrid
