#include "plan/bench_work.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/calendar.h"
#include "base/error.h"
#include "layout/layout.h"
#include "plan/bench_timer.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"

namespace verdigrid {

namespace {

std::vector<BenchPlace> places_of(const WorkItem& w) {
  if (w.parts.empty() || !facts(w.operation).by_piece) return {{w.id, ""}};
  std::vector<BenchPlace> places;
  for (const ItemPart& p : w.parts) places.push_back({w.id, p.designator});
  return places;
}

// The newest done or problem of a place; null: none.
const WorkStep* verdict_of(const BenchLog& log, const BenchPlace& place) {
  const WorkStep* newest = nullptr;
  for (const BenchEntry& e : log.entries) {
    const auto* step = std::get_if<WorkStep>(&e.event);
    if (step && step->place == place &&
        (step->kind == StepKind::done || step->kind == StepKind::problem))
      newest = step;
  }
  return newest;
}

bool is_done(const BenchLog& log, const BenchPlace& place) {
  const WorkStep* verdict = verdict_of(log, place);
  return verdict && verdict->kind == StepKind::done;
}

// A tick that was taken back opens all places of the item again.
bool is_open(const BenchLog& log, const WorkItem& w, const BenchPlace& place) {
  if (w.done || w.optional) return false;
  const auto places = places_of(w);
  return !is_done(log, place) || std::all_of(places.begin(), places.end(),
                                             [&](const BenchPlace& p) { return is_done(log, p); });
}

// Of the place in the list; its end where it is not in it.
size_t index_of(const std::vector<BenchStep>& steps, const BenchPlace& place) {
  const auto at = std::find_if(steps.begin(), steps.end(),
                               [&place](const BenchStep& s) { return s.place == place; });
  return static_cast<size_t>(at - steps.begin());
}

bool replaces(Operation o) {
  return o == Operation::replace_smd_can || o == Operation::replace_leaded_can;
}

// Where the ledger has a part; empty: it never moved.
std::optional<PartState> state_in_ledger(const BenchLog& log, const std::string& designator) {
  for (const LedgerRow& row : ledger(log))
    if (row.designator == designator) return row.state;
  return std::nullopt;
}

Stage stage_now(const WorkItem& w, const BenchPlace& place, const BenchLog& log) {
  const auto state = replaces(w.operation) ? state_in_ledger(log, place.part) : std::nullopt;
  return state && is_owed(*state) ? std::max(w.stage, Stage::fit) : w.stage;
}

// Whether its part came off since the work on this place was started last.
bool came_off_just_now(const BenchLog& log, const BenchPlace& place) {
  for (auto e = log.entries.rbegin(); e != log.entries.rend(); ++e) {
    if (std::holds_alternative<WorkStep>(e->event)) return false;
    const auto* move = std::get_if<PartMove>(&e->event);
    if (move && move->designator == place.part && is_owed(move->state)) return true;
  }
  return false;
}

std::vector<BenchStep> steps_as_planned(const Plan& plan, const BenchLog& log) {
  std::vector<BenchStep> steps;
  for (const WorkItem& w : plan.items)
    for (BenchPlace& p : places_of(w))
      if (is_open(log, w, p)) {
        const WorkStep* verdict = verdict_of(log, p);
        const bool is_problem = verdict && verdict->kind == StepKind::problem;
        const Stage stage = stage_now(w, p, log);
        steps.push_back({std::move(p), is_problem ? verdict->word : std::string(), stage});
      }
  return steps;
}

// The one that follows, from the front again at the end; empty where it is alone. A place whose
// part has just come off is left for the one that stands behind it in the plan: it comes up again
// when new parts are fitted.
std::optional<BenchStep> step_after(const Plan& plan, const BenchLog& log,
                                    const BenchPlace& place) {
  std::vector<BenchStep> steps = bench_steps(plan, log);
  if (came_off_just_now(log, place)) {
    std::vector<BenchStep> others = steps_as_planned(plan, log);
    std::erase_if(others, [&place](const BenchStep& s) {
      return s.place != place && (s.stage == Stage::fit || !s.problem.empty());
    });
    if (others.size() > 1) steps = std::move(others);
  }
  const size_t next = (index_of(steps, place) + 1) % steps.size();
  return steps[next].place == place ? std::nullopt : std::optional(steps[next]);
}

std::optional<BenchStep> current_step(const Plan& plan, const BenchLog& log) {
  const auto steps = bench_steps(plan, log);
  if (steps.empty()) return std::nullopt;
  const WorkStep* last = last_step(log);
  const size_t at = last ? index_of(steps, last->place) : steps.size();
  const bool is_there =
      at < steps.size() && (last->kind == StepKind::start || last->kind == StepKind::pause);
  if (is_there) return steps[at];
  // Nobody went on since a part came off: its place stays, though its turn is later now.
  for (const BenchStep& s : steps)
    if (s.stage == Stage::fit && came_off_just_now(log, s.place)) return s;
  return steps.front();
}

BenchStep current_or_refuse(const Plan& plan, const BenchLog& log) {
  auto step = current_step(plan, log);
  if (!step) throw Error(ErrorKind::wrong_use, "No place of work is left in this plan.");
  return *step;
}

bool is_running(const BenchLog& log) {
  const WorkStep* last = last_step(log);
  return last && last->kind == StepKind::start;
}

BenchLog with_step(const BenchLog& log, WorkStep step, const BenchSign& sign) {
  return with_entry(log, {sign.who, sign.at, std::move(step)});
}

BenchLog with_started(const BenchLog& log, const std::optional<BenchStep>& step,
                      const BenchSign& sign) {
  return step ? with_step(log, {StepKind::start, step->place, {}, {}}, sign) : log;
}

bool takes_off(Operation o) {
  return o == Operation::lift_small_chip || o == Operation::lift_large_chip ||
         o == Operation::lift_socket || o == Operation::remove_battery;
}

// What the work just done says about its part, where the ledger does not say so yet.
std::optional<PartMove> move_of(const WorkItem& w, const BenchPlace& place, const BenchLog& log) {
  if (place.part.empty()) return std::nullopt;
  const auto state = state_in_ledger(log, place.part);
  const bool is_away = state && *state != PartState::back_on;
  if (w.operation == Operation::remove_battery && !is_away)
    return PartMove{place.part, PartState::stays_off, "battery taken off for the work"};
  if (takes_off(w.operation) && !is_away) return PartMove{place.part, PartState::off, w.id};
  if (replaces(w.operation) && is_away) return PartMove{place.part, PartState::back_on, "new part"};
  return std::nullopt;
}

std::string layout_words(const Part& part) {
  const auto negative = negative_end_point(part);
  if (!negative || *negative == part.centre)
    return fmt::format("layout: turned {:g}°", part.rotation_deg);
  const cv::Point2d d = *negative - part.centre;
  const bool is_level = std::abs(d.x) > std::abs(d.y);
  return fmt::format("layout: negative end {}",
                     is_level ? (d.x > 0 ? "right" : "left") : (d.y > 0 ? "down" : "up"));
}

}  // namespace

std::vector<BenchStep> bench_steps(const Plan& plan, const BenchLog& log) {
  std::vector<BenchStep> steps = steps_as_planned(plan, log);
  std::stable_sort(steps.begin(), steps.end(),
                   [](const BenchStep& a, const BenchStep& b) { return a.stage < b.stage; });
  std::stable_partition(steps.begin(), steps.end(),
                        [](const BenchStep& s) { return s.problem.empty(); });
  return steps;
}

BenchNow bench_now(const Plan& plan, const BenchLog& log, const std::string& now) {
  BenchNow view;
  view.step = current_step(plan, log);
  view.left = bench_steps(plan, log).size();
  if (view.step) view.timer = timer_of(log, view.step->place, now);
  return view;
}

BenchLog with_next(const Plan& plan, const BenchLog& log, const BenchSign& sign) {
  const BenchStep step = current_or_refuse(plan, log);
  const WorkStep* last = last_step(log);
  const bool was_here = last && last->place == step.place &&
                        (last->kind == StepKind::start || last->kind == StepKind::pause);
  return with_started(log, was_here ? step_after(plan, log, step.place) : std::optional(step),
                      sign);
}

BenchLog with_place(const Plan& plan, const BenchLog& log, const BenchPlace& place,
                    const BenchSign& sign) {
  const auto steps = bench_steps(plan, log);
  const auto at = std::find_if(steps.begin(), steps.end(), [&place](const BenchStep& s) {
    return s.place.item == place.item && (place.part.empty() || s.place.part == place.part);
  });
  if (at == steps.end())
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}{}: is no place of work that is left; 'verdigrid bench show' lists "
                            "them.",
                            place.item, place.part.empty() ? "" : " " + place.part));
  return with_started(log, *at, sign);
}

BenchLog with_pause(const Plan& plan, const BenchLog& log, const BenchSign& sign) {
  const BenchStep step = current_or_refuse(plan, log);
  return with_step(log, {is_running(log) ? StepKind::pause : StepKind::start, step.place, {}, {}},
                   sign);
}

BenchChange with_done(const Plan& plan, const BenchLog& log, const BenchSign& sign,
                      std::optional<double> minutes) {
  const BenchStep step = current_or_refuse(plan, log);
  const WorkItem& w = item_of(plan, step.place.item);
  if (const std::string why = block_of(plan, w); !why.empty())
    throw Error(ErrorKind::wrong_use, fmt::format("{} cannot be done yet: {}", w.id, why));
  BenchChange out{plan, with_step(log, {StepKind::done, step.place, {}, minutes}, sign), {}};
  if (const auto move = move_of(w, step.place, out.log))
    out.log = with_entry(out.log, {sign.who, sign.at, *move});
  const auto places = places_of(w);
  if (std::all_of(places.begin(), places.end(),
                  [&](const BenchPlace& p) { return is_done(out.log, p); })) {
    const BenchTimer timer = timer_of(out.log, w.id, sign.at);
    const bool is_logged = !timer.is_doubtful && timer.minutes > 0;
    out.plan = ticked(plan, w.id,
                      {sign.who, date_of(sign.at),
                       is_logged ? std::optional(std::max(0.1, std::round(timer.minutes * 10) / 10))
                                 : std::nullopt});
    if (timer.is_doubtful)
      out.remark = fmt::format(
          "{}: the timer ran on for more than {:g} h, so no minutes are logged; tell them.", w.id,
          k_longest_stretch_min / 60);
  }
  out.log = with_started(out.log, step_after(plan, log, step.place), sign);
  return out;
}

BenchLog with_problem(const Plan& plan, const BenchLog& log, const std::string& word,
                      const BenchSign& sign) {
  const BenchStep step = current_or_refuse(plan, log);
  const BenchLog marked = with_step(log, {StepKind::problem, step.place, word, {}}, sign);
  return with_started(marked, step_after(plan, log, step.place), sign);
}

std::string order_remark(const Plan& plan, const BenchLog& log, const std::string& id) {
  const WorkItem& w = item_of(plan, id);
  std::map<std::string, Stage> open;  // the earliest that an item still has to do
  for (const BenchStep& s : steps_as_planned(plan, log)) {
    const auto [at, is_new] = open.emplace(s.place.item, s.stage);
    if (!is_new) at->second = std::min(at->second, s.stage);
  }
  const Stage own = open.contains(id) ? open.at(id) : w.stage;
  std::string earlier;
  for (const WorkItem& other : plan.items)
    if (open.contains(other.id) && open.at(other.id) < own &&
        (other.place == w.place || other.place.empty() || w.place.empty()))
      earlier += (earlier.empty() ? "" : ", ") + other.id;
  if (earlier.empty()) return {};
  return fmt::format("{} comes before its turn: {} of earlier stages {} still open.", id, earlier,
                     earlier.find(',') == std::string::npos ? "is" : "are");
}

std::string part_words(const Plan& plan, const BenchPlace& place) {
  for (const ItemPart& p : item_of(plan, place.item).parts) {
    if (p.designator != place.part) continue;
    std::string text = p.designator;
    for (const std::string& word : {p.value, p.rating, p.package})
      if (!word.empty()) text += ", " + word;
    return text;
  }
  return {};
}

std::string orientation_words(const Layout* layout, const BenchLog& log,
                              const std::string& designator) {
  std::string text;
  if (layout)
    for (const Part& p : layout->parts)
      if (p.designator == designator) text = layout_words(p);
  const auto readings = events<PartReading>(log);
  const auto newest = std::find_if(readings.rbegin(), readings.rend(), [&](const PartReading& r) {
    return r.what == ReadingOf::polarity && r.designator == designator;
  });
  if (newest == readings.rend()) return text;
  const PartAgreement a = agreement_of(*newest);
  return (text.empty() ? "" : text + "; ") +
         (a.agrees ? "read on the board: negative end " + a.value : a.ask);
}

}  // namespace verdigrid
