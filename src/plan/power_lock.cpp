#include "plan/power_lock.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/error.h"
#include "compare/change_table.h"
#include "layout/words.h"
#include "plan/dangers.h"

namespace verdigrid {

namespace {

using C = LockCondition;
using K = LockEntryKind;

constexpr Words<TestVerdict, 3> k_verdicts{{{TestVerdict::pass, "pass"},
                                            {TestVerdict::fail, "fail"},
                                            {TestVerdict::not_tested, "not tested"}}};
constexpr Words<LockEntryKind, 5> k_kinds{{{K::evidence, "evidence"},
                                           {K::override_, "override"},
                                           {K::finding, "new finding"},
                                           {K::power, "first power"},
                                           {K::test, "test"}}};
constexpr double k_most = 1e6;

[[noreturn]] void refuse(const std::string& sentence) {
  throw Error(ErrorKind::wrong_use, sentence);
}

bool is_number(double v) { return v >= -k_most && v <= k_most; }

void check_reading(const LockEntry& e) {
  const LockConditionFacts& f = facts(e.condition);
  if (*f.unit == '\0')
    refuse(fmt::format("{}: takes no reading, but {}.", f.name, evidence_words(e.condition)));
  if (e.unit != f.unit)
    refuse(fmt::format("{}: a reading is in {}, not \"{}\".", f.name, f.unit, e.unit));
  if (!is_number(*e.value) || *e.value < 0)
    refuse(fmt::format("{}: a reading of {:g} {} cannot be.", f.name, *e.value, e.unit));
  if (e.condition == C::rail_ohms && e.rail.empty())
    refuse("rail-ohms: name the rail that was measured.");
}

void check_evidence(const LockEntry& e) {
  const LockConditionFacts& f = facts(e.condition);
  const int ways =
      e.value.has_value() + !e.photo.empty() + !e.comparison.empty() + e.supply.has_value();
  if (ways != 1)
    refuse(fmt::format("{}: give one piece of evidence: {}.", f.name, evidence_words(e.condition)));
  if (e.value) check_reading(e);
  if (!e.photo.empty() && !f.takes_photo)
    refuse(
        fmt::format("{}: a photo does not show it; give {}.", f.name, evidence_words(e.condition)));
  const bool is_verdict = std::any_of(k_change_verdicts.begin(), k_change_verdicts.end(),
                                      [&e](ChangeVerdict v) { return e.comparison == name(v); });
  if (!e.comparison.empty() && (!f.takes_comparison || !is_verdict))
    refuse(fmt::format("{}: \"{}\" is no verdict of a comparison that it takes; give {}.", f.name,
                       e.comparison, evidence_words(e.condition)));
  if (e.supply.has_value() != (e.condition == C::supply))
    refuse("The record of a supply meets the condition supply, and nothing else does.");
  if (e.supply)
    if (const std::string fault = fault_of(*e.supply); !fault.empty()) refuse(fault);
  if (e.condition == C::failed_test && e.note.empty())
    refuse("failed-test: say what the cause was.");
}

void check_override(const PowerLock& lock, const LockEntry& e) {
  if (e.note.empty()) refuse("An override needs a reason.");
  const LockState state = state_of(lock, e.on);
  const auto at = std::find_if(state.conditions.begin(), state.conditions.end(),
                               [&e](const ConditionView& v) { return v.condition == e.condition; });
  if (at == state.conditions.end())
    refuse(fmt::format("{}: is no condition of this board.", name(e.condition)));
  if (!at->may_override)
    refuse(
        fmt::format("{}: cannot be overridden by anyone: {} Show it by {}, or tell the plan what "
                    "is the case.",
                    name(e.condition), at->sentence, evidence_words(e.condition)));
  if (e.condition == C::supply && (!e.supply || e.supply->name.empty()))
    refuse("supply: also an override must name the supply that will be used.");
}

void check_cleared(const PowerLock& lock, const LockEntry& e) {
  const LockState state = state_of(lock, e.on);
  if (!state.is_cleared)
    refuse(
        fmt::format("{}. No power and no test before they are met; 'verdigrid lock show' lists "
                    "them.",
                    state.headline));
  if (e.power && e.power->supply != state.supply)
    refuse(fmt::format("It is cleared for test with supply {}, not with {}.", state.supply,
                       e.power->supply.empty() ? "an unnamed one" : e.power->supply));
}

void check_power(const FirstPower& p) {
  if (!(p.limit_a > 0 && p.limit_a <= k_most)) refuse("First power needs a current limit in A.");
  if (p.smell_or_heat == Told::not_known) refuse("Say whether there was smell or heat: yes or no.");
  for (const PowerPoint& point : p.points)
    if (!is_number(point.volts) || !is_number(point.amps) || point.amps < 0 || point.at_s < 0)
      refuse("Volts and amps of first power cannot be read; write them as 10=5.01/0.32.");
  if (!failure_of(p).empty()) return;  // nobody waits ten minutes beside smoke
  for (const double wanted : k_power_points_s)
    if (std::none_of(p.points.begin(), p.points.end(),
                     [wanted](const PowerPoint& q) { return q.at_s == wanted; }))
      refuse(fmt::format("First power wants volts and amps at 0, 10 and 600 s; {:g} s is missing.",
                         wanted));
}

void check_entry(const PowerLock& lock, const LockEntry& e) {
  if (e.who.empty() || e.who == "nobody") refuse("Say who: give a name with --who.");
  if (!lock.log.empty() && e.on < lock.log.back().on)
    refuse(fmt::format("{} lies before the last entry of the log, {}; entries only follow.", e.on,
                       lock.log.back().on));
  switch (e.kind) {
    case K::evidence:
      return check_evidence(e);
    case K::override_:
      return check_override(lock, e);
    case K::finding:
      if (e.note.empty()) refuse("Say what was found.");
      return;
    case K::power:
      require(e.power.has_value(), "an entry of first power has it");
      check_cleared(lock, e);
      return check_power(*e.power);
    case K::test:
      if (e.tests.empty()) refuse("Name what was tested: WHAT=pass, fail or not tested.");
      return check_cleared(lock, e);
  }
}

}  // namespace

const char* name(TestVerdict verdict) { return word_of(k_verdicts, verdict); }
std::optional<TestVerdict> test_verdict_named(std::string_view text) {
  return value_of(k_verdicts, text);
}
const char* name(LockEntryKind kind) { return word_of(k_kinds, kind); }

const char* name(ConditionState state) {
  return state == ConditionState::met          ? "met"
         : state == ConditionState::overridden ? "overridden"
                                               : "open";
}

PowerLock with_facts(const PowerLock& lock, const LockFacts& facts, const std::string& who,
                     const std::string& date) {
  PowerLock out = lock;
  out.facts = facts;
  if (!lock.log.empty() && facts.findings > lock.facts.findings) {
    LockEntry e;
    e.kind = K::finding;
    e.who = who;
    e.on = std::max(date, lock.log.back().on);
    e.note = fmt::format("{} findings where {} were known", facts.findings, lock.facts.findings);
    out.log.push_back(std::move(e));
  }
  return out;
}

PowerLock with_entry(const PowerLock& lock, const LockEntry& entry) {
  state_of(lock, entry.on);  // refuses a date that is none
  check_entry(lock, entry);
  PowerLock out = lock;
  out.log.push_back(entry);
  return out;
}

namespace {

std::string log_words(const LockEntry& e) {
  std::string text = fmt::format("  {} {:<12} {:<12}", e.on, e.who, name(e.kind));
  if (e.kind == K::evidence || e.kind == K::override_)
    text += fmt::format(" {}", name(e.condition));
  if (e.value) text += fmt::format(" {:g} {}", *e.value, e.unit);
  for (const std::string& word : {e.rail, e.photo, e.comparison})
    if (!word.empty()) text += " " + word;
  if (e.supply) text += " " + e.supply->name;
  if (e.power) {
    text += fmt::format(" {}, limit {:g} A", e.power->supply, e.power->limit_a);
    for (const PowerPoint& p : e.power->points)
      text += fmt::format("; {:g} s {:g} V {:g} A", p.at_s, p.volts, p.amps);
    const std::string failure = failure_of(*e.power);
    if (!failure.empty()) text += "; failed: " + failure;
  }
  for (const TestItem& t : e.tests) text += fmt::format("; {}: {}", t.what, name(t.verdict));
  if (!e.note.empty()) text += ": " + e.note;
  return text + "\n";
}

std::string condition_words(const ConditionView& v) {
  std::string text = fmt::format("  [{}] {:<17} {}\n",
                                 v.state == ConditionState::open  ? " "
                                 : v.state == ConditionState::met ? "x"
                                                                  : "o",
                                 name(v.condition), v.sentence);
  if (!v.by.empty()) text += fmt::format("                        {}\n", v.by);
  if (v.state == ConditionState::open)
    text += fmt::format("                        wants {}{} [{}]\n", evidence_words(v.condition),
                        v.may_override ? "" : "; no override", facts(v.condition).source);
  return text;
}

}  // namespace

std::string power_lock_words(const PowerLock& lock, const std::string& date) {
  const LockState state = state_of(lock, date);
  std::string text =
      fmt::format("{}{}\n", lock.board.empty() ? std::string() : lock.board + ": ", state.headline);
  text += state.is_cleared
              ? "First power with a current limit, watched, ready to switch off. It may still be "
                "faulty or live: qualified persons and local codes.\n"
              : "No power. Each condition is met by evidence, or overridden by name and reason "
                "where that is allowed.\n";
  for (const ConditionView& v : state.conditions) text += condition_words(v);
  text += "! " + words(no_recipe_advice()) + "\n";
  text +=
      "! Rail ohms prove nothing: below 1 ohm stop; any other value still needs first power "
      "with a current limit. [common practice, no published limit found]\n";
  if (!lock.log.empty()) text += "\nLog:\n";
  for (const LockEntry& e : lock.log) text += log_words(e);
  return text;
}

}  // namespace verdigrid
