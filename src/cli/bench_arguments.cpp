#include "cli/bench_arguments.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>

#include "base/error.h"
#include "cli/values.h"

namespace verdigrid {

namespace {

[[noreturn]] void refuse(const std::string& sentence) {
  throw Error(ErrorKind::wrong_use, sentence);
}

void add_time(CLI::App& app, std::string& into) {
  app.add_option("--at", into, "When it was, UTC, as 2026-03-01T14:05:00Z (default: now)")
      ->type_name("TIME");
}

void add_text(CLI::App& app, const char* option, std::string& into, const char* help,
              const char* type = "TEXT") {
  app.add_option(option, into, help)->type_name(type);
}

std::optional<double> number_if_given(const char* option, const std::string& text) {
  return text.empty() ? std::nullopt : std::optional(number_from(option, text));
}

template <class Value, class Named>
Value named(const std::string& text, Named value_named, const char* wanted) {
  if (const auto value = value_named(text)) return *value;
  refuse(fmt::format("\"{}\" is none of {}.", text, wanted));
}

std::optional<DryingWay> drying_way_named(const std::string& text) {
  for (const DryingWay way : k_drying_ways)
    if (text == name(way)) return way;
  return std::nullopt;
}

std::optional<Neutraliser> neutraliser_named(const std::string& text) {
  for (const Neutraliser n : {Neutraliser::weak_acid, Neutraliser::bicarbonate})
    if (text == name(n)) return n;
  return std::nullopt;
}

}  // namespace

std::optional<double> BenchArguments::told_minutes() const {
  return number_if_given("--minutes", minutes);
}

void add_bench_place(CLI::App& app, BenchArguments& into) {
  add_plan_place(app, into.place, true);
  add_time(app, into.at);
}

void add_json_argument(CLI::App& app, BenchArguments& into) {
  app.add_flag("--json", into.prints_json, "Print the bench log as JSON");
}

void add_next_arguments(CLI::App& app, BenchArguments& into) {
  add_text(app, "--item", into.item, "Go to this work item instead", "ID");
  add_text(app, "--part", into.part, "Go to this part of it", "DESIGNATOR");
}

void add_done_arguments(CLI::App& app, BenchArguments& into) {
  add_text(app, "--minutes", into.minutes, "Hands-on minutes of this place, in place of the timer",
           "NUMBER");
}

void add_problem_arguments(CLI::App& app, BenchArguments& into) {
  app.add_option("WORD", into.word, "What the problem is")->required()->type_name("");
}

void add_sheet_arguments(CLI::App& app, BenchArguments& into) {
  add_new_file_argument(app, into.sheet, "PDF file to write");
}

void add_watch_arguments(CLI::App& app, BenchArguments& into) {
  app.add_option("FOLDER", into.folder, "Folder that the camera writes to")
      ->required()
      ->type_name("");
  app.add_flag("--once", into.once, "File what lies there now and end");
  add_detector_arguments(app, into.detector);
}

BenchEvent LogArguments::part_move() const {
  std::string said = state;  // "stays off" as people write it
  std::replace(said.begin(), said.end(), ' ', '-');
  return PartMove{name,
                  named<PartState>(said, part_state_named, "off, bagged, back-on, lost, stays-off"),
                  word};
}

BenchEvent LogArguments::reading() const {
  return PartReading{name, is_polarity ? ReadingOf::polarity : ReadingOf::value, print, old_part,
                     meter};
}

BenchEvent LogArguments::bath_event() const {
  Bath b;
  b.kind = named<BathKind>(state, bath_kind_named, "neutralise, wash, rinse, alcohol");
  b.place = where;
  b.bath = bath;
  b.detergent = detergent;
  if (!neutraliser.empty())
    b.neutraliser = named<Neutraliser>(neutraliser, neutraliser_named, "weak acid, bicarbonate");
  b.minutes = number_from("--minutes", minutes);
  b.temperature_c = number_if_given("--celsius", celsius);
  b.is_ultrasonic = is_ultrasonic;
  b.removed_first = removed_first;
  return b;
}

BenchEvent LogArguments::drying() const {
  return Drying{named<DryingWay>(state, drying_way_named,
                                 "open air, blow off, circulating oven, vacuum oven, hot air"),
                number_if_given("--celsius", celsius), number_from("--hours", hours)};
}

BenchEvent LogArguments::weighing() const {
  return Weighing{!is_after, number_from("GRAMS", grams), number_if_given("--limit-g", limit)};
}

BenchEvent LogArguments::clock() const {
  return ClockStart{"", name, where, then, number_from("--minutes", minutes)};
}

void add_log_place(CLI::App& app, LogArguments& into) {
  add_plan_place(app, into.place, true);
  add_time(app, into.at);
}

void add_log_json(CLI::App& app, LogArguments& into) {
  app.add_flag("--json", into.prints_json, "Print as JSON");
}

void add_part_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("PART", into.name, "Designator")->required()->type_name("");
  app.add_option("STATE", into.state, "off, bagged, back-on, lost or stays-off")
      ->required()
      ->type_name("");
  add_text(app, "--word", into.word, "Which bag; how it was lost; why it stays off");
}

void add_reading_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("PART", into.name, "Designator")->required()->type_name("");
  app.add_flag("--polarity", into.is_polarity,
               "Polarity instead of value: where the negative end or pin 1 lies on the arrival "
               "photo (up, down, left, right)");
  add_text(app, "--print", into.print, "What the print on the board says; none: nothing");
  add_text(app, "--old", into.old_part, "What the old part says; none: nothing");
  add_text(app, "--meter", into.meter, "What the meter says; none: nothing");
}

void add_wash_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("KIND", into.state, "neutralise, wash, rinse or alcohol")
      ->required()
      ->type_name("");
  add_text(app, "--bath", into.bath, "What the bath is: \"distilled water, 2 l\"");
  add_text(app, "--detergent", into.detergent, "Which, and how much");
  add_text(app, "--neutraliser", into.neutraliser, "Of neutralise: weak acid or bicarbonate");
  app.add_option("--minutes", into.minutes, "How long")->required()->type_name("NUMBER");
  add_text(app, "--celsius", into.celsius, "Temperature of the bath", "NUMBER");
  add_text(app, "--place", into.where, "Work area; without it the whole board", "NAME");
  app.add_flag("--ultrasonic", into.is_ultrasonic, "In an ultrasonic tank");
  app.add_option("--removed", into.removed_first, "What was taken off first, one or more")
      ->type_name("PART ...");
}

void add_dry_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("WAY", into.state, "open air, blow off, circulating oven, vacuum oven or hot air")
      ->required()
      ->type_name("");
  app.add_option("--hours", into.hours, "How long")->required()->type_name("NUMBER");
  add_text(app, "--celsius", into.celsius, "Temperature of the oven", "NUMBER");
}

void add_weigh_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("GRAMS", into.grams, "Weight of the board")->required()->type_name("");
  app.add_flag("--after", into.is_after, "After drying; without it, before the wash");
  add_text(app, "--limit-g", into.limit,
           "With the weight before the wash: how far the one after drying may be off", "GRAMS");
}

void add_clock_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("WHAT", into.name, "What runs: \"weak acid\"")->required()->type_name("");
  app.add_option("--minutes", into.minutes, "When it is due")->required()->type_name("NUMBER");
  add_text(app, "--place", into.where, "Where: a work area, square or part", "NAME");
  add_text(app, "--then", into.then, "What to do then: \"rinse\"");
}

void add_stop_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("CLOCK", into.name, "Its id, K1")->required()->type_name("");
}

void add_note_arguments(CLI::App& app, LogArguments& into) {
  app.add_option("TEXT", into.word, "What the next shift must know; empty takes the note down")
      ->required()
      ->type_name("");
}

}  // namespace verdigrid
