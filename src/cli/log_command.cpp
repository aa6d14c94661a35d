// verdigrid log show|note|part|reading|wash|dry|weigh|clock|stop|clocks: what happened to a board
// at the bench besides its work.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/calendar.h"
#include "base/error.h"
#include "cli/bench_arguments.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/lock_place.h"
#include "cli/nested.h"
#include "jobbook/bench_record.h"
#include "plan/bench_words.h"
#include "plan/ledger.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace {

OpenBench logged(const LogArguments& a, const BenchEvent& event) {
  return changed_bench(a.place, "bench log: " + words(event), [&](const OpenBench& b) {
    return OpenBench{b.plan, with_entry(b.log, {a.place.signer(), a.time(), event})};
  });
}

Known known_in(const OpenBench& bench) { return bench.plan ? bench.plan->known : Known{}; }

[[noreturn]] void refuse(const std::string& why) {
  throw Error(ErrorKind::wrong_use, why + " Not logged.");
}

void print_headline(const LogArguments& a, Session& s) {
  const std::string date = date_of(a.time());
  s.out << state_of(opened_lock(a.place, date), date).headline << '\n';
}

// What was logged, as the log tells it.
void print_last(const OpenBench& bench, Session& s) {
  s.out << words(bench.log.entries.back().event) << '\n';
}

int run_show(const LogArguments& a, Session& s) {
  const OpenBench bench = opened_bench(a.place);
  if (a.prints_json) {
    s.out << bench_log_json(bench.log);
    return 0;
  }
  s.out << "Power: ";
  print_headline(a, s);
  s.out << bench_log_words(bench.log, a.time(), utc_offset_min());
  return 0;
}

int run_note(const LogArguments& a, Session& s) {
  print_last(logged(a, ShiftNote{a.word}), s);
  return 0;
}

int run_part(const LogArguments& a, Session& s) {
  const OpenBench bench = logged(a, a.part_move());
  print_last(bench, s);
  s.out << "Ledger: " << ledger_words(ledger(bench.log)) << '\n';
  print_headline(a, s);
  return 0;
}

int run_reading(const LogArguments& a, Session& s) {
  print_last(logged(a, a.reading()), s);
  print_headline(a, s);
  return 0;
}

int run_wash(const LogArguments& a, Session& s) {
  const OpenBench before = opened_bench(a.place);
  const Known known = known_in(before);
  const auto fitted = before.plan ? before.plan->fitted : std::vector<PartKind>{};
  const Bath bath = std::get<Bath>(a.bath_event());
  if (const std::string why = refusal_of(bath, known, fitted); !why.empty()) refuse(why);
  const OpenBench bench = logged(a, bath);
  for (const Advice& advice : cautions_of(bath, known, fitted)) s.messages << words(advice) << '\n';
  print_last(bench, s);
  s.out << "Wash: " << words(wash_state(bench.log)) << '\n';
  print_headline(a, s);
  return 0;
}

int run_dry(const LogArguments& a, Session& s) {
  const OpenBench before = opened_bench(a.place);
  const Drying drying = std::get<Drying>(a.drying());
  if (const std::string why = refusal_of(drying, known_in(before), before.log); !why.empty())
    refuse(why);
  const OpenBench bench = logged(a, drying);
  s.messages << words(drying_advice(drying.way, known_in(before))) << '\n';
  print_last(bench, s);
  s.out << "Wash: " << words(wash_state(bench.log)) << '\n';
  print_headline(a, s);
  return 0;
}

int run_weigh(const LogArguments& a, Session& s) {
  const OpenBench bench = logged(a, a.weighing());
  print_last(bench, s);
  s.out << "Wash: " << words(wash_state(bench.log)) << '\n';
  return 0;
}

int run_clock(const LogArguments& a, Session& s) {
  print_last(logged(a, a.clock()), s);
  return 0;
}

int run_stop(const LogArguments& a, Session& s) {
  print_last(logged(a, ClockStop{a.name}), s);
  return 0;
}

void add_clocks_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("JOBBOOK", into.place.book, "Folder of the job book")->required()->type_name("");
}

int run_clocks(const LogArguments& a, Session& s) {
  const JobBook book = opened_job_book(a.place.book, a.place.who, Open::read_only);
  const std::int64_t now_s = seconds_of(now_text());
  const auto clocks = running_clocks(book);
  if (clocks.empty()) s.out << "No clock runs.\n";
  for (const BoardClock& c : clocks)
    s.out << fmt::format("{} {} {}, {}: {}\n", is_due(c.clock, now_s) ? "!" : " ", c.clock.clock.id,
                         c.unit_name, c.board_name, words(c.clock, now_s, utc_offset_min()));
  for (const BoardNote& n : shift_notes(book))
    s.out << fmt::format("  {}, {}: {} ({}, {})\n", n.unit_name, n.board_name, n.text, n.who,
                         date_of(n.at));
  return 0;
}

template <void (*set_up)(CLI::App&, LogArguments&)>
void on_board(CLI::App& app, LogArguments& into) {
  add_log_place(app, into);
  set_up(app, into);
}

constexpr Nested<LogArguments> k_table[] = {
    {"show", "Shift note, clocks, ledger, readings, wash and the whole log of a board",
     on_board<add_log_json>, run_show},
    {"note", "Leave a note for the next shift", on_board<add_note_arguments>, run_note},
    {"part", "Ledger: a part is off, bagged, back on, lost, or stays off",
     on_board<add_part_arguments>, run_part},
    {"reading", "Print, old part and meter of a value or polarity; they must agree, else ASK",
     on_board<add_reading_arguments>, run_reading},
    {"wash", "Log a bath: neutralise, wash, rinse, alcohol", on_board<add_wash_arguments>,
     run_wash},
    {"dry", "Log a drying", on_board<add_dry_arguments>, run_dry},
    {"weigh", "Weight before the wash with its limit, or after drying",
     on_board<add_weigh_arguments>, run_weigh},
    {"clock", "Start a clock that alarms: weak acid on B3, rinse in 5 minutes",
     on_board<add_clock_arguments>, run_clock},
    {"stop", "Stop a clock", on_board<add_stop_arguments>, run_stop},
    {"clocks", "All clocks that run in a job book, and the shift notes", add_clocks_arguments,
     run_clocks},
};

}  // namespace

CommandRun log_command(CLI::App& arguments) {
  arguments.footer(
      "Chemicals burn and blind, ovens and hot air light alcohol, old solder holds lead: gloves,\n"
      "eye shield, ventilation, and local codes. Nothing that is logged says that a board is dry\n"
      "or fit for power beneath its parts.");
  return nested_command<LogArguments>(arguments, k_table);
}

}  // namespace verdigrid
