// verdigrid lock show|meet|override|found|supply|power|test: what still forbids power, and the
// record of first power and tests.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <map>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/lock_arguments.h"
#include "cli/lock_place.h"
#include "cli/nested.h"
#include "compare/comparison_file.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "photo/decode.h"
#include "plan/dangers.h"

namespace verdigrid {

namespace {

void print_lock(const PowerLock& lock, const LockArguments& a, Session& s) {
  s.out << (a.prints_json ? power_lock_json(lock, a.date()) : power_lock_words(lock, a.date()));
}

void print_headline(const PowerLock& lock, const LockArguments& a, Session& s) {
  s.out << state_of(lock, a.date()).headline << '\n';
}

// A file that is a photo; in a job book it is kept there, or named by the id of one that is.
void add_photo(const LockArguments& a, LockEntry& e) {
  if (a.photo.empty()) return;
  std::optional<JobBook> book;
  if (a.place.is_in_book()) book = opened_job_book(a.place.book, a.place.who, Open::existing);
  if (const auto record = book ? book->find(a.photo.string()) : std::nullopt;
      record && record->kind == "photo") {
    const KeptPhoto photo = kept_photo_from(record->body);
    e.photo = photo.name;
    e.photo_sha256 = photo.sha256;
    return;
  }
  const DecodeOptions decode;
  const Bytes bytes = read_file(a.photo, decode.file_limit_bytes);
  e.photo = a.photo.filename().string();
  decode_photo(bytes, e.photo, decode);
  e.photo_sha256 = book ? book->add_file(bytes) : sha256_hex(bytes);
}

// A verdict by name, or of the whole board in what 'verdigrid compare' wrote.
std::string verdict_meant(const std::string& comparison) {
  return std::filesystem::exists(comparison) ? name(load_comparison(comparison).table.total.verdict)
                                             : comparison;
}

SupplyCheck supply_meant(const LockArguments& a) {
  if (!a.rails.empty() || !a.place.is_in_book()) return a.supply_check();
  const JobBook book = opened_job_book(a.place.book, a.place.who, Open::read_only);
  if (!book.find(a.supply)) return a.supply_check();
  const auto checks = supply_checks(book, a.supply);
  if (checks.empty())
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has no check yet; record one: verdigrid lock supply {} --jobbook "
                            "{} --rail ....",
                            a.supply, a.supply, a.place.book.string()));
  return checks.back().check;
}

void say_rail(const LockEntry& e, Session& s) {
  if (e.condition == LockCondition::rail_ohms && e.value)
    s.messages << words(rail_advice(*e.value)) << '\n';
}

// The strip after the rinse as it was told to the plan: the newest of each place, and the one
// farthest from 7 speaks for the board.
void add_told_strip(const LockArguments& a, LockEntry& e) {
  if (e.condition != LockCondition::strip || e.value) return;
  std::map<std::string, StripReading> newest;
  for (const StripReading& s : opened_plan(a.place).known.strips)
    if (s.after_rinse) newest[s.place] = s;
  const auto worst =
      std::max_element(newest.begin(), newest.end(), [](const auto& one, const auto& other) {
        return std::abs(one.second.ph - 7) < std::abs(other.second.ph - 7);
      });
  if (worst == newest.end())
    throw Error(
        ErrorKind::wrong_use,
        "strip: no reading is given and no strip after the rinse was told to the plan; "
        "give --reading \"7.1 pH\", or tell it: 'verdigrid plan tell ... --strip-after 7.1'.");
  e.value = worst->second.ph;
  e.unit = "pH";
  if (e.note.empty())
    e.note =
        worst->first.empty() ? "as told to the plan" : "as told to the plan, at " + worst->first;
}

int run_show(const LockArguments& a, Session& s) {
  print_lock(opened_lock(a.place, a.date()), a, s);
  return 0;
}

int run_meet(const LockArguments& a, Session& s) {
  LockEntry e = a.evidence();
  if (e.condition == LockCondition::supply) e.supply = supply_meant(a);
  if (!e.comparison.empty()) e.comparison = verdict_meant(e.comparison);
  add_told_strip(a, e);
  add_photo(a, e);
  const PowerLock lock =
      changed_lock(a.place, fmt::format("power lock: evidence of {}", name(e.condition)), a.date(),
                   [&e](const PowerLock& l) { return with_entry(l, e); });
  say_rail(e, s);
  for (const ConditionView& v : state_of(lock, a.date()).conditions)
    if (v.condition == e.condition)
      s.out << fmt::format("{}: {}. {}\n", name(v.condition), name(v.state), v.by);
  print_headline(lock, a, s);
  return 0;
}

int run_override(const LockArguments& a, Session& s) {
  const LockEntry e = a.override_();
  const PowerLock lock =
      changed_lock(a.place, fmt::format("power lock: {} overridden", name(e.condition)), a.date(),
                   [&e](const PowerLock& l) { return with_entry(l, e); });
  s.out << fmt::format("{}: overridden by {}, {}: {}\n", name(e.condition), e.who, e.on, e.note);
  print_headline(lock, a, s);
  return 0;
}

int run_found(const LockArguments& a, Session& s) {
  const PowerLock lock = changed_lock(
      a.place, "power lock: new finding", a.date(),
      [&a](const PowerLock& l) { return with_entry(l, a.entry(LockEntryKind::finding)); });
  print_headline(lock, a, s);
  return 0;
}

int run_supply(const LockArguments& a, Session& s) {
  if (!a.place.is_in_book())
    throw Error(ErrorKind::wrong_use,
                "A supply is a unit of its own in a job book: add --jobbook. Without one, 'lock "
                "meet TARGET supply' takes its rails.");
  JobBook book = opened_job_book(a.place.book, a.place.who, Open::existing);
  SupplyRecord record{a.supply_check(), a.place.signer(), a.date()};
  if (record.check.name.empty()) record.check.name = unit_from(book.get(a.place.target).body).name;
  if (record.who == k_nobody)
    throw Error(ErrorKind::wrong_use, "Say who measured it: give a name with --who.");
  s.out << keep_supply_check(book, a.place.target, record) << '\n';
  return 0;
}

int run_power(const LockArguments& a, Session& s) {
  const LockEntry power = a.first_power();
  const PowerLock lock =
      changed_lock(a.place, "first power", a.date(), [&](const PowerLock& before) {
        PowerLock l = before;
        for (const LockEntry& e : a.rail_readings()) {
          say_rail(e, s);
          l = with_entry(l, e);
        }
        return with_entry(l, power);
      });
  const std::string failure = failure_of(*power.power);
  s.out << (failure.empty() ? "First power: nothing failed in what was recorded.\n"
                            : "First power failed: " + failure + "\n");
  print_headline(lock, a, s);
  return 0;
}

int run_test(const LockArguments& a, Session& s) {
  std::vector<std::string> list;
  if (a.place.is_in_book()) {
    const JobBook book = opened_job_book(a.place.book, a.place.who, Open::read_only);
    list = test_list(book, board_of(book, a.place));
  }
  const LockEntry e = a.test(list);
  const PowerLock lock = changed_lock(a.place, "tested", a.date(),
                                      [&e](const PowerLock& l) { return with_entry(l, e); });
  for (const TestItem& t : e.tests) s.out << fmt::format("{}: {}\n", t.what, name(t.verdict));
  print_headline(lock, a, s);
  return 0;
}

constexpr Nested<LockArguments> k_table[] = {
    {"show", "LOCKED or CLEARED FOR TEST, each condition, what it wants, the log",
     add_show_arguments, run_show},
    {"meet", "Meet a condition by a photo, a reading or a comparison", add_meet_arguments,
     run_meet},
    {"override", "Override a condition by name and reason, where that is allowed",
     add_override_arguments, run_override},
    {"found", "Something new was found: lock again", add_found_arguments, run_found},
    {"supply", "Record a supply's rails under dummy load (TARGET: the supply's unit)",
     add_supply_arguments, run_supply},
    {"power", "Record first power: current limit, volts and amps, smell or heat",
     add_power_arguments, run_power},
    {"test", "Record tests after first power; a failed one locks again", add_test_arguments,
     run_test},
};

}  // namespace

CommandRun lock_command(CLI::App& arguments) {
  arguments.footer(
      "Power can injure and burn. Mains, picture tubes and large capacitors are for qualified\n"
      "persons; local codes come first. CLEARED FOR TEST is no statement that a board works.");
  return nested_command<LockArguments>(arguments, k_table);
}

}  // namespace verdigrid
