// What happened to a board at the bench: work with its timer, parts off and on, readings, wash and
// drying, weights, clocks, shift notes. A log that only grows; everything shown is computed from
// it.
//
// Times are UTC, "YYYY-MM-DDThh:mm:ssZ", and never go back within a log. Clocks and timers are
// entries, so they go on over a restart. File: format "verdigrid-bench-log", version 1,
// assets/schema/bench-log.schema.json. Throws Error{wrong_use} for entries that make no sense; the
// log given stays as it was.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "plan/drying.h"
#include "plan/part_reading.h"

namespace verdigrid {

inline constexpr int k_bench_log_version = 1;

// One place of work: an item of the plan, or one part of it.
struct BenchPlace {
  std::string item;  // id, "W3"
  std::string part;  // designator; empty: the whole item
  bool operator==(const BenchPlace&) const = default;
};

enum class StepKind { start, pause, done, problem };
const char* name(StepKind kind);  // "start" ...

struct WorkStep {
  StepKind kind = StepKind::start;
  BenchPlace place;
  std::string word;               // what the problem is
  std::optional<double> minutes;  // of done: told by a person in place of the timer
  bool operator==(const WorkStep&) const = default;
};

struct CloseUp {
  BenchPlace place;
  std::string photo, photo_sha256;  // name; hash of the file
  bool operator==(const CloseUp&) const = default;
};

struct ShiftNote {
  std::string text;  // "rinse 1 of 2 done, in oven until 16:00"; empty: nothing is noted any more
  bool operator==(const ShiftNote&) const = default;
};

// Where a part is. `stays_off`: it does not come back, on purpose (a battery).
enum class PartState { off, bagged, back_on, lost, stays_off };
inline constexpr PartState k_part_states[] = {PartState::off, PartState::bagged, PartState::back_on,
                                              PartState::lost, PartState::stays_off};
const char* name(PartState state);  // "off", "bagged", "back-on", "lost", "stays-off"
std::optional<PartState> part_state_named(std::string_view text);

struct PartMove {
  std::string designator;
  PartState state = PartState::off;
  std::string word;  // which bag, how it was lost, why it stays off
  bool operator==(const PartMove&) const = default;
};

enum class BathKind { neutralise, wash, rinse, alcohol };
const char* name(BathKind kind);
std::optional<BathKind> bath_kind_named(std::string_view text);

struct Bath {
  BathKind kind = BathKind::wash;
  std::string place;                       // work area; empty: the whole board
  std::string bath, detergent;             // "distilled water, 2 l"; "non-ionic, 8 ml/l"
  std::optional<Neutraliser> neutraliser;  // of neutralise: weak acid or bicarbonate
  double minutes = 0;                      // > 0
  std::optional<double> temperature_c;
  bool is_ultrasonic = false;
  std::vector<std::string> removed_first;  // parts, batteries, labels
  bool operator==(const Bath&) const = default;
};

struct Drying {
  DryingWay way = DryingWay::open_air;
  std::optional<double> temperature_c;  // needed of an oven
  double hours = 0;                     // > 0
  bool operator==(const Drying&) const = default;
};

// Weight before the wash with the limit that the weight after drying must keep, or that weight.
struct Weighing {
  bool is_before = true;
  double grams = 0;               // > 0
  std::optional<double> limit_g;  // of the one before: how far the other may be off
  bool operator==(const Weighing&) const = default;
};

// "weak acid" on "B3": due after `minutes`, then `then`.
struct ClockStart {
  std::string id;  // "K1", given by with_entry
  std::string what, place, then;
  double minutes = 0;  // > 0
  bool operator==(const ClockStart&) const = default;
};
struct ClockStop {
  std::string id;
  bool operator==(const ClockStop&) const = default;
};

using BenchEvent = std::variant<WorkStep, CloseUp, ShiftNote, PartMove, PartReading, Bath, Drying,
                                Weighing, ClockStart, ClockStop>;

struct BenchEntry {
  std::string who, at;  // name and time, neither empty
  BenchEvent event;
  bool operator==(const BenchEntry&) const = default;
};

struct BenchLog {
  std::string board;                // name
  std::vector<BenchEntry> entries;  // oldest first
  bool operator==(const BenchLog&) const = default;
};

BenchLog with_entry(const BenchLog& log, const BenchEntry& entry);

// All events of one kind, oldest first.
template <class Event>
std::vector<Event> events(const BenchLog& log) {
  std::vector<Event> list;
  for (const BenchEntry& e : log.entries)
    if (const auto* event = std::get_if<Event>(&e.event)) list.push_back(*event);
  return list;
}

// The newest shift note; null: none, or it was emptied.
const BenchEntry* shift_note(const BenchLog& log);
const BenchEntry* shift_note(BenchLog&& log) = delete;  // would be gone at once

std::string bench_log_json(const BenchLog& log);
BenchLog bench_log_from_json(std::string_view text, std::string_view where);
BenchLog load_bench_log(const std::filesystem::path& path);

// "distilled water, 10 min", for lists of what happened.
std::string words(const BenchEvent& event);

}  // namespace verdigrid
