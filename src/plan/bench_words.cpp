#include "plan/bench_words.h"

#include <fmt/format.h>

#include "base/calendar.h"
#include "plan/clocks.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"
#include "plan/plan_words.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace {

std::string timer_words(const BenchTimer& timer) {
  return fmt::format("timer {}: {}{}", timer.is_running ? "runs" : "stands",
                     minutes_words(timer.minutes),
                     timer.is_doubtful ? ", a stretch of it too long to be true" : "");
}

std::string clock_lines(const BenchLog& log, std::int64_t now_s, int utc_offset_min) {
  std::string text;
  for (const RunningClock& c : running_clocks(log))
    text += fmt::format("{} {} {}\n", is_due(c, now_s) ? "!" : " ", c.clock.id,
                        words(c, now_s, utc_offset_min));
  return text.empty() ? text : "Clocks:\n" + text;
}

std::string ledger_lines(const BenchLog& log) {
  const auto rows = ledger(log);
  std::string text = fmt::format("Ledger: {}\n", ledger_words(rows));
  for (const LedgerRow& r : rows)
    text += fmt::format("{} {:<8} {:<9} {}{}\n", is_owed(r.state) ? "!" : " ", r.designator,
                        name(r.state), r.word, r.word.empty() ? r.who : ", " + r.who);
  return text;
}

std::string reading_lines(const BenchLog& log) {
  std::string text;
  for (const PartReading& r : newest_readings(events<PartReading>(log)))
    text += fmt::format("{} {}\n", agreement_of(r).agrees ? " " : "!", words(BenchEvent(r)));
  return text.empty() ? text : "Readings:\n" + text;
}

}  // namespace

std::string step_words(const Plan& plan, const BenchStep& step) {
  const WorkItem& w = item_of(plan, step.place.item);
  std::string text = w.id;
  if (!step.place.part.empty()) text += " " + step.place.part;
  text += ", " + w.what;
  if (!w.place.empty()) text += " at " + w.place;
  text += fmt::format(" ({})", name(w.side));
  if (step.stage == Stage::fit) text += "; the old part is off, the new one waits to be fitted";
  if (!step.problem.empty()) text += "; problem: " + step.problem;
  return text;
}

std::string bench_now_words(const Plan& plan, const BenchLog& log, const std::string& now) {
  const BenchNow view = bench_now(plan, log, now);
  if (!view.step) return "No place of work is left in this plan. That is no clearance.\n";
  const WorkItem& w = item_of(plan, view.step->place.item);
  std::string text = step_words(plan, *view.step) + "\n";
  if (const std::string part = part_words(plan, view.step->place); !part.empty())
    text += fmt::format("  part: {}\n", part);
  if (const std::string way = orientation_words(nullptr, log, view.step->place.part); !way.empty())
    text += fmt::format("  {}\n", way);
  if (!w.reason.empty()) text += fmt::format("  why: {}\n", w.reason);
  text += pair_lines(w, "    ");
  if (const std::string block = block_of(plan, w); !block.empty())
    text += fmt::format("! not yet: {}\n", block);
  if (const std::string remark = order_remark(plan, log, w.id); !remark.empty())
    text += fmt::format("! {}\n", remark);
  for (const Advice& a : advice_for(plan, w))
    text += fmt::format("{} {}\n", a.refuses ? "!" : " ", words(a));
  text += fmt::format("  {}\n", timer_words(view.timer));
  text += fmt::format("{} place{} left.\n", view.left, view.left == 1 ? " is" : "s are");
  return text;
}

std::string bench_log_words(const BenchLog& log, const std::string& now, int utc_offset_min) {
  std::string text;
  if (const BenchEntry* note = shift_note(log))
    text += fmt::format("Shift note: {} ({}, {})\n", std::get<ShiftNote>(note->event).text,
                        note->who, date_of(note->at));
  text += clock_lines(log, seconds_of(now), utc_offset_min);
  text += ledger_lines(log);
  text += reading_lines(log);
  text += fmt::format("Wash: {}\n", words(wash_state(log)));
  if (log.entries.empty()) return text;
  text += "\nLog:\n";
  for (const BenchEntry& e : log.entries) {
    const std::int64_t at = seconds_of(e.at);
    text += fmt::format("  {} {} {:<10} {}\n",
                        date_of(time_text(at + std::int64_t{60} * utc_offset_min)),
                        wall_clock(at, utc_offset_min), e.who, words(e.event));
  }
  return text;
}

}  // namespace verdigrid
