// verdigrid bench show|next|pause|done|problem|sheet|watch: work at the bench, one place at a time.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/calendar.h"
#include "base/error.h"
#include "base/files.h"
#include "cli/bench_arguments.h"
#include "cli/bench_sheet.h"
#include "cli/bench_watch.h"
#include "cli/command.h"
#include "cli/lock_place.h"
#include "cli/nested.h"
#include "plan/bench_words.h"
#include "plan/clocks.h"
#include "plan/ledger.h"

namespace verdigrid {

namespace {

const Plan& plan_in(const OpenBench& bench, const PlanPlace& place) {
  if (!bench.plan)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has no plan yet, so there is no work to go through; make one: "
                            "verdigrid plan {}{}.",
                            place.target, place.target,
                            place.is_in_book() ? " --jobbook " + place.book.string() : ""));
  return *bench.plan;
}

void print_now(const OpenBench& bench, const BenchArguments& a, Session& s) {
  s.out << bench_now_words(plan_in(bench, a.place), bench.log, a.time());
  const std::int64_t now_s = seconds_of(a.time());
  for (const RunningClock& c : running_clocks(bench.log))
    s.out << fmt::format("{} {} {}\n", is_due(c, now_s) ? "!" : " ", c.clock.id,
                         words(c, now_s, utc_offset_min()));
  s.out << "Ledger: " << ledger_words(ledger(bench.log)) << '\n';
}

int run_show(const BenchArguments& a, Session& s) {
  const OpenBench bench = opened_bench(a.place);
  const Plan& plan = plan_in(bench, a.place);
  const std::string date = date_of(a.time());
  s.out << "Power: " << state_of(opened_lock(a.place, date), date).headline << '\n';
  if (const BenchEntry* note = shift_note(bench.log))
    s.out << fmt::format("Shift note: {} ({})\n", std::get<ShiftNote>(note->event).text, note->who);
  print_now(bench, a, s);
  for (const BenchStep& step : bench_steps(plan, bench.log))
    s.out << "  " << step_words(plan, step) << '\n';
  return 0;
}

template <class Change>
OpenBench worked(const BenchArguments& a, const char* what, Change change) {
  return changed_bench(a.place, what, [&](const OpenBench& b) {
    return OpenBench{b.plan, change(plan_in(b, a.place), b.log)};
  });
}

int run_next(const BenchArguments& a, Session& s) {
  if (a.item.empty() && !a.part.empty())
    throw Error(ErrorKind::wrong_use, "Name the work item of the part with --item.");
  print_now(worked(a, "bench: next place",
                   [&a](const Plan& plan, const BenchLog& log) {
                     return a.item.empty() ? with_next(plan, log, a.sign())
                                           : with_place(plan, log, {a.item, a.part}, a.sign());
                   }),
            a, s);
  return 0;
}

int run_pause(const BenchArguments& a, Session& s) {
  print_now(worked(a, "bench: timer",
                   [&a](const Plan& plan, const BenchLog& log) {
                     return with_pause(plan, log, a.sign());
                   }),
            a, s);
  return 0;
}

int run_done(const BenchArguments& a, Session& s) {
  std::string remark;
  const OpenBench bench = changed_bench(a.place, "bench: done", [&](const OpenBench& b) {
    BenchChange c = with_done(plan_in(b, a.place), b.log, a.sign(), a.told_minutes());
    remark = c.remark;
    return OpenBench{std::move(c.plan), std::move(c.log)};
  });
  if (!remark.empty()) s.messages << remark << '\n';
  print_now(bench, a, s);
  return 0;
}

int run_problem(const BenchArguments& a, Session& s) {
  print_now(worked(a, "bench: problem",
                   [&a](const Plan& plan, const BenchLog& log) {
                     return with_problem(plan, log, a.word, a.sign());
                   }),
            a, s);
  return 0;
}

int run_watch(const BenchArguments& a, Session& s) {
  const ChosenDetector chosen = detector_by(a.detector);
  if (!chosen.remark.empty()) s.messages << chosen.remark << '\n';
  return watch_folder(a.place, a.folder, a.once, *chosen.detector, s);
}

int run_sheet(const BenchArguments& a, Session& s) {
  a.sheet.check(".pdf");
  write_file(a.sheet.path, bench_pages_of(a.place, date_of(a.time())));
  s.out << a.sheet.path.string() << '\n';
  return 0;
}

template <void (*set_up)(CLI::App&, BenchArguments&)>
void on_board(CLI::App& app, BenchArguments& into) {
  add_bench_place(app, into);
  set_up(app, into);
}

constexpr Nested<BenchArguments> k_table[] = {
    {"show", "The place that comes up, its timer, ledger, clocks, and what is left",
     add_bench_place, run_show},
    {"next", "Go to the next place and start its timer", on_board<add_next_arguments>, run_next},
    {"pause", "Stop the timer, or let it go on", add_bench_place, run_pause},
    {"done", "This place is done: minutes are logged, the next one starts",
     on_board<add_done_arguments>, run_done},
    {"problem", "Leave this place open with a word and go on", on_board<add_problem_arguments>,
     run_problem},
    {"sheet", "Print the places as a PDF in large letters, one after the other",
     on_board<add_sheet_arguments>, run_sheet},
    {"watch",
     "File new pictures of a folder (microscope camera) to the place that is worked on, and place "
     "them on the photo of its side",
     on_board<add_watch_arguments>, run_watch},
};

}  // namespace

CommandRun bench_command(CLI::App& arguments) {
  arguments.footer(
      "Unplug first; charged capacitors, tubes and mains parts only by qualified persons and by\n"
      "local codes. Hot air and soldering irons burn; old solder holds lead: wash your hands.");
  return nested_command<BenchArguments>(arguments, k_table);
}

}  // namespace verdigrid
