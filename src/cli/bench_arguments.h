// The arguments of 'verdigrid bench' and 'verdigrid log' and their parts.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/bench_place.h"
#include "cli/detector_arguments.h"
#include "cli/new_file.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct BenchArguments {
  PlanPlace place;
  std::string at;  // time; empty: now
  bool prints_json = false;

  std::string item, part, word, minutes;
  NewFile sheet;
  std::filesystem::path folder;
  bool once = false;
  DetectorArguments detector;

  std::string time() const { return at.empty() ? now_text() : at; }
  BenchSign sign() const { return {place.signer(), time()}; }
  std::optional<double> told_minutes() const;
};

void add_bench_place(CLI::App& app, BenchArguments& into);
void add_json_argument(CLI::App& app, BenchArguments& into);
void add_next_arguments(CLI::App& app, BenchArguments& into);
void add_done_arguments(CLI::App& app, BenchArguments& into);
void add_problem_arguments(CLI::App& app, BenchArguments& into);
void add_sheet_arguments(CLI::App& app, BenchArguments& into);
void add_watch_arguments(CLI::App& app, BenchArguments& into);

// What 'verdigrid log' takes in: fields of one entry.
struct LogArguments {
  PlanPlace place;
  std::string at;
  bool prints_json = false;

  std::string name, state, word;             // part, clock, note
  bool is_polarity = false;                  // reading
  std::string print, old_part, meter;        // reading
  std::string bath, detergent, neutraliser;  // wash
  std::string minutes, celsius, hours, grams, limit, where, then;
  bool is_ultrasonic = false, is_after = false;
  std::vector<std::string> removed_first;

  std::string time() const { return at.empty() ? now_text() : at; }
  BenchEvent part_move() const;
  BenchEvent reading() const;
  BenchEvent bath_event() const;
  BenchEvent drying() const;
  BenchEvent weighing() const;
  BenchEvent clock() const;
};

void add_log_place(CLI::App& app, LogArguments& into);
void add_log_json(CLI::App& app, LogArguments& into);
void add_part_arguments(CLI::App& app, LogArguments& into);
void add_reading_arguments(CLI::App& app, LogArguments& into);
void add_wash_arguments(CLI::App& app, LogArguments& into);
void add_dry_arguments(CLI::App& app, LogArguments& into);
void add_weigh_arguments(CLI::App& app, LogArguments& into);
void add_clock_arguments(CLI::App& app, LogArguments& into);
void add_stop_arguments(CLI::App& app, LogArguments& into);
void add_note_arguments(CLI::App& app, LogArguments& into);

}  // namespace verdigrid
