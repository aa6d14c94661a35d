#include "cli/lock_arguments.h"

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

// What stands before and after the first `sign`; both must be there.
std::pair<std::string, std::string> halves(const std::string& option, const std::string& text,
                                           char sign, const char* form) {
  const size_t at = text.rfind(sign);
  if (at == std::string::npos || at == 0 || at + 1 == text.size())
    refuse(fmt::format("{}: write it as {}, not \"{}\".", option, form, text));
  return {text.substr(0, at), text.substr(at + 1)};
}

LockCondition condition_from(const std::string& text) {
  if (const auto c = lock_condition_named(text)) return *c;
  std::string all;
  for (const LockConditionFacts& f : lock_conditions())
    all += (all.empty() ? "" : ", ") + std::string(f.name);
  refuse(fmt::format("\"{}\" is no condition; they are {}.", text, all));
}

// "+5V=5/5.03@1": nominal and measured volts, amps of the dummy load.
SupplyRail rail_from(const std::string& text) {
  constexpr const char* form = "NAME=WANTED/MEASURED@AMPS (+5V=5/5.03@1)";
  const auto [name, values] = halves("--rail", text, '=', form);
  const auto [volts, amps] = halves("--rail", values, '@', form);
  const auto [nominal, measured] = halves("--rail", volts, '/', form);
  return {name, number_from("--rail", nominal), number_from("--rail", measured),
          number_from("--rail", amps)};
}

// "10=5.01/0.32": seconds, volts, amps.
PowerPoint point_of(const std::string& text) {
  constexpr const char* form = "SECONDS=VOLTS/AMPS (10=5.01/0.32)";
  const auto [at, values] = halves("--at", text, '=', form);
  const auto [volts, amps] = halves("--at", values, '/', form);
  return {number_from("--at", at), number_from("--at", volts), number_from("--at", amps)};
}

TestItem item_from(const std::string& text) {
  const auto [what, verdict] = halves("--item", text, '=', "WHAT=pass, fail or not tested");
  const auto v = test_verdict_named(verdict);
  if (!v) refuse(fmt::format("--item: \"{}\" is none of pass, fail, not tested.", verdict));
  return {what, *v};
}

void add_common(CLI::App& app, LockArguments& into) {
  add_plan_place(app, into.place, true);
  app.add_option("--on", into.on, "Date, YYYY-MM-DD (default: today)")->type_name("DATE");
}

void add_several(CLI::App& app, const char* option, std::vector<std::string>& into,
                 const char* help, const char* type) {
  app.add_option(option, into, help)->type_name(type)->expected(1)->take_all();
}

void add_condition(CLI::App& app, LockArguments& into) {
  app.add_option("CONDITION", into.condition, "Name of the condition, as 'lock show' lists it")
      ->required()
      ->type_name("");
}

}  // namespace

std::string LockArguments::date() const { return on.empty() ? today() : on; }

LockEntry LockArguments::entry(LockEntryKind kind) const {
  LockEntry e;
  e.kind = kind;
  e.who = place.signer();
  e.on = date();
  e.note = note;
  return e;
}

LockEntry LockArguments::evidence() const {
  LockEntry e = entry(LockEntryKind::evidence);
  e.condition = condition_from(condition);
  e.comparison = comparison;
  if (reading.empty()) return e;
  if (rails.size() > 1)
    refuse("--rail: a reading belongs to one rail; record one after the other.");
  if (!rails.empty()) e.rail = rails.front();
  const size_t end = std::min(reading.find_first_not_of("+-.0123456789"), reading.size());
  e.value = number_from("--reading", reading.substr(0, end));
  e.unit = reading.substr(std::min(reading.find_first_not_of(' ', end), reading.size()));
  if (e.unit.empty()) refuse("--reading: a reading has a unit: \"7.2 pH\", \"120 ohm\".");
  return e;
}

LockEntry LockArguments::override_() const {
  LockEntry e = entry(LockEntryKind::override_);
  e.condition = condition_from(condition);
  if (!supply.empty()) e.supply = SupplyCheck{supply, {}};
  return e;
}

LockEntry LockArguments::first_power() const {
  LockEntry e = entry(LockEntryKind::power);
  FirstPower p;
  p.supply = supply;
  p.limit_a = number_from("--limit", limit);
  for (const std::string& text : points) p.points.push_back(point_of(text));
  p.smell_or_heat = told_named(smell_or_heat).value_or(Told::not_known);
  e.power = p;
  return e;
}

std::vector<LockEntry> LockArguments::rail_readings() const {
  std::vector<LockEntry> list;
  for (const std::string& text : rail_ohms) {
    const auto [name, ohm] = halves("--rail-ohm", text, '=', "RAIL=OHM (+5V=120)");
    LockEntry e = entry(LockEntryKind::evidence);
    e.condition = LockCondition::rail_ohms;
    e.note.clear();
    e.rail = name;
    e.value = number_from("--rail-ohm", ohm);
    e.unit = "ohm";
    list.push_back(std::move(e));
  }
  return list;
}

LockEntry LockArguments::test(const std::vector<std::string>& list) const {
  LockEntry e = entry(LockEntryKind::test);
  for (const std::string& what : list) e.tests.push_back({what, TestVerdict::not_tested});
  for (const std::string& text : items) {
    const TestItem item = item_from(text);
    const auto at = std::find_if(e.tests.begin(), e.tests.end(),
                                 [&item](const TestItem& t) { return t.what == item.what; });
    if (at == e.tests.end())
      e.tests.push_back(item);
    else
      at->verdict = item.verdict;
  }
  return e;
}

SupplyCheck LockArguments::supply_check() const {
  SupplyCheck check{supply, {}};
  for (const std::string& text : rails) check.rails.push_back(rail_from(text));
  return check;
}

void add_show_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  app.add_flag("--json", into.prints_json, "Print as JSON");
}

void add_meet_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  add_condition(app, into);
  app.add_option("--photo", into.photo,
                 "Photo that shows it (a file; with --jobbook also the id of a photo)")
      ->type_name("FILE");
  app.add_option("--reading", into.reading, "Reading with its unit: \"7.2 pH\", \"120 ohm\"")
      ->type_name("\"VALUE UNIT\"");
  app.add_option("--comparison", into.comparison,
                 "Folder of the comparison before and after the wash ('verdigrid compare'), or its "
                 "verdict, as nothing-left")
      ->type_name("FOLDER");
  app.add_option("--supply", into.supply,
                 "For the condition supply: its name, or with --jobbook the id of its unit, whose "
                 "newest check is taken")
      ->type_name("NAME");
  add_several(app, "--rail", into.rails,
              "The rail of a reading, as +5V; for the condition supply each rail under dummy load, "
              "as +5V=5/5.03@1",
              "RAIL");
  app.add_option("--note", into.note, "What else is to be said")->type_name("TEXT");
}

void add_override_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  add_condition(app, into);
  app.add_option("--reason", into.note, "Why it is overridden; printed with your name")
      ->required()
      ->type_name("TEXT");
  app.add_option("--supply", into.supply, "Name of the supply, to override the condition supply")
      ->type_name("NAME");
}

void add_power_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  app.add_option("--supply", into.supply, "The supply that it is cleared for")
      ->required()
      ->type_name("NAME");
  app.add_option("--limit", into.limit, "Current limit that was set")
      ->required()
      ->type_name("AMPS");
  add_several(app, "--at", into.points,
              "Volts and amps at 0, 10 and 600 seconds, as 10=5.01/0.32; once for each",
              "SECONDS=VOLTS/AMPS");
  app.add_option("--smell-or-heat", into.smell_or_heat, "Was there smell or heat?")
      ->required()
      ->check(CLI::IsMember({"yes", "no"}))
      ->type_name("yes|no");
  add_several(app, "--rail-ohm", into.rail_ohms,
              "Ohms of a rail to ground measured just before, as +5V=120", "RAIL=OHM");
  app.add_option("--note", into.note, "What else is to be said")->type_name("TEXT");
}

void add_test_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  add_several(app, "--item", into.items,
              "What was tested and how it went: \"starts=pass\"; the test list of the board's type "
              "is filled up with \"not tested\"",
              "WHAT=pass|fail|\"not tested\"");
  app.add_option("--note", into.note, "What else is to be said")->type_name("TEXT");
}

void add_found_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  app.add_option("--note", into.note, "What was found, and where")->required()->type_name("TEXT");
}

void add_supply_arguments(CLI::App& app, LockArguments& into) {
  add_common(app, into);
  app.add_option("--name", into.supply, "Name of the supply (default: the unit's)")
      ->type_name("NAME");
  add_several(app, "--rail", into.rails, "Each rail under dummy load, as +5V=5/5.03@1",
              "NAME=WANTED/MEASURED@AMPS");
}

}  // namespace verdigrid
