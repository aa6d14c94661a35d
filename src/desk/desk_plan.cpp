// The desk's plan: work items of the open board, their estimate, what is known of the board.

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "desk/desk.h"
#include "desk/reviewed_sides.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "plan/edit_plan.h"

namespace verdigrid {

// What the job book has; the figures follow as a job.
void Desk::refresh_plan() {
  std::optional<Plan> kept;
  if (!intake_.board_id.empty()) kept = kept_plan(book_, intake_.board_id);
  if (kept == plan_.plan) return;
  plan_ = {};
  plan_.plan = std::move(kept);
  jobs_.cancel("estimate");
  if (!plan_.plan) return;
  jobs_.start("estimate", "Estimating the work",
              [this, plan = *plan_.plan](const Work& work) -> Apply {
                Estimate estimate = estimate_of(plan, work);
                Worth worth = worth_of(plan, estimate);
                return [this, plan, estimate, worth] {
                  if (plan_.plan != plan) return;
                  plan_.estimate = estimate;
                  plan_.worth = worth;
                };
              });
}

void Desk::put_plan(const Plan& plan, const std::string& label) {
  if (plan == plan_.plan) return;
  change_book_by([&] { return plan_edits(book_, intake_.board_id, plan); }, label);
}

template <class Change>
void Desk::change_plan(const std::string& label, Change change) {
  if (!document_) return;
  if (!plan_.plan) return say("There is no plan of this board yet: make one first.");
  change_book_by(
      [&]() -> std::vector<Edit> {
        const std::optional<Plan> before = kept_plan(book_, intake_.board_id);
        if (!before) return {};
        const Plan after = change(*before);
        if (after == before) return {};
        return plan_edits(book_, intake_.board_id, after);
      },
      label);
}

void Desk::run(const MakePlan&) {
  if (!document_ || !derived_.survey)
    return say("The survey is not ready yet: make the plan in a moment.");
  const Intake::BoardRow* board = intake_.open_board();
  if (!board) return;
  SideFacts here = side_facts(*derived_.survey, derived_.layout.get());
  const Side other = document_->scale.side == Side::front ? Side::back : Side::front;
  if (!newest_survey(book_, board->id, other)) return make_plan({std::move(here)});
  // The other side as people left it: it is read and reviewed away from the window.
  jobs_.start("plan", "Reading the other side for the plan",
              [this, here, other, board = board->id, open = open_.work, book = options_.job_book,
               options = options_.book](const Work& work) -> Apply {
                const JobBook own = JobBook::open(book, options, Open::read_only);
                std::vector<SideFacts> sides{here};
                if (auto facts = reviewed_side(own, board, other, 0, work))
                  sides.push_back(std::move(*facts));
                return [this, sides, open] {
                  if (open_.work == open) make_plan(sides);
                };
              });
}

void Desk::make_plan(const std::vector<SideFacts>& sides) {
  const Known known = plan_.plan ? plan_.plan->known : known_of(intake_.unit);
  put_plan(plan_of(intake_.open_board()->board.name, sides, known,
                   plan_.plan ? plan_.plan->rates : starting_rates()),
           plan_.plan ? "Make the plan anew" : "Make a plan");
}

void Desk::run(const TickItem& a) {
  change_plan(a.is_done ? "Tick off " + a.id : "Take the tick off " + a.id, [&](const Plan& plan) {
    if (!a.is_done) return unticked(plan, a.id);
    return ticked(plan, a.id, {book_.options().who, book_.options().now().substr(0, 10), {}});
  });
}

void Desk::run(const EditItem& a) {
  change_plan("Change " + a.id, [&](const Plan& plan) { return with_edit(plan, a.id, a.edit); });
}

void Desk::run(const LogMinutes& a) {
  change_plan("Minutes of " + a.id,
              [&](const Plan& plan) { return with_actual(plan, a.id, a.minutes); });
}

void Desk::run(const AddItem& a) {
  change_plan("Add to the plan", [&](const Plan& plan) { return with_item(plan, a.item); });
}

void Desk::run(const RemoveItem& a) {
  change_plan("Remove " + a.id, [&](const Plan& plan) { return without_item(plan, a.id); });
}

void Desk::run(const MergeItems& a) {
  change_plan(fmt::format("Merge {} items", a.ids.size()),
              [&](const Plan& plan) { return merged(plan, a.ids); });
}

void Desk::run(const SplitItem& a) {
  change_plan("Split " + a.id, [&](const Plan& plan) { return split(plan, a.id, a.quantity); });
}

void Desk::run(const TellKnown& a) {
  change_plan("Tell what is known", [&](const Plan& plan) { return with_known(plan, a.known); });
}

}  // namespace verdigrid
