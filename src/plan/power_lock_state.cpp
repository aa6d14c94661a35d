#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "base/calendar.h"
#include "compare/change_table.h"
#include "plan/power_lock.h"

namespace verdigrid {

namespace {

using C = LockCondition;
using K = LockEntryKind;

// What is void after a new finding, a failed test, or six months on the shelf.
constexpr C k_after_finding[] = {C::findings, C::rinsed,           C::dry,
                                 C::strip,    C::after_wash_photo, C::inspection};
constexpr C k_after_failure[] = {C::failed_test, C::inspection, C::rail_ohms};
constexpr C k_after_shelf[] = {C::shelf, C::inspection, C::rail_ohms, C::supply};

template <size_t N>
bool is_in(const C (&list)[N], C c) {
  return std::find(std::begin(list), std::end(list), c) != std::end(list);
}

bool has_failed(const LockEntry& e) {
  return (e.power && !failure_of(*e.power).empty()) ||
         std::any_of(e.tests.begin(), e.tests.end(),
                     [](const TestItem& t) { return t.verdict == TestVerdict::fail; });
}

bool is_shelf_long(const std::string& from, const std::string& to) {
  return day_number(to) >= day_number(months_after(from, lock_limits::k_shelf_months));
}

// First entry of the log that still counts for this condition, and whether something voided the
// earlier ones.
struct Valid {
  size_t first = 0;
  bool has_failed = false, has_shelf = false;
};

Valid valid_from(const PowerLock& lock, C c, const std::string& date) {
  Valid v;
  const auto& log = lock.log;
  for (size_t i = 0; i < log.size(); ++i) {
    if (log[i].kind == K::finding && is_in(k_after_finding, c)) v.first = i + 1;
    if (has_failed(log[i])) {
      v.has_failed = true;
      if (is_in(k_after_failure, c)) v.first = i + 1;
    }
    const std::string next = i + 1 < log.size() ? log[i + 1].on : date;
    if (is_shelf_long(log[i].on, next)) {
      v.has_shelf = true;
      if (is_in(k_after_shelf, c)) v.first = i + 1;
    }
  }
  return v;
}

bool applies(const PowerLock& lock, C c, const Valid& valid) {
  const LockFacts& f = lock.facts;
  switch (c) {
    case C::battery:
      return f.battery_fitted != Told::no || f.battery_was_fitted;
    case C::findings:
    case C::after_wash_photo:
    case C::rinsed:
    case C::strip:
      return f.findings > 0;
    case C::dry:
      return f.findings > 0 || f.wet != Told::no;
    case C::work:
      return f.open_items > 0;
    case C::ledger:
      return !f.parts_off.empty();
    case C::readings:
      return !f.parts_asked.empty();
    case C::unseen:
      return f.unseen_percent > lock_limits::k_unseen_percent;
    case C::eaten_copper:
      return f.has_eaten_copper;
    case C::rail_parts:
      return !f.rail_parts.empty();
    case C::suppression:
      return f.mains_suppression != Told::no;
    case C::picture_tube:
      return f.picture_tube != Told::no;
    case C::mains_capacitors:
      return f.mains_capacitors != Told::no;
    case C::above_50_v:
    case C::earth_bond:
      return f.above_50_v != Told::no;
    case C::failed_test:
      return valid.has_failed;
    case C::shelf:
      return valid.has_shelf;
    case C::inspection:
    case C::loose_metal:
    case C::rail_ohms:
    case C::supply:
      return true;
  }
  return true;
}

std::string sentence_of(const PowerLock& lock, C c) {
  const LockFacts& f = lock.facts;
  std::string own;
  if (c == C::findings) own = fmt::format(" {} flagged.", f.findings);
  if (c == C::work) own = fmt::format(" {} open.", f.open_items);
  if (c == C::ledger) own = fmt::format(" {}.", fmt::join(f.parts_off, ", "));
  if (c == C::readings) own = fmt::format(" ASK: {}.", fmt::join(f.parts_asked, ", "));
  if (c == C::unseen)
    own = f.unseen_percent >= 100 ? std::string(" Now 100 %: a side was not surveyed.")
                                  : fmt::format(" Now {:.0f} %.", f.unseen_percent);
  if (c == C::rail_parts) own = fmt::format(" {}.", fmt::join(f.rail_parts, ", "));
  const auto unknown = [&own](Told told, const char* what) {
    if (told == Told::not_known) own = fmt::format(" Nobody has said whether {}.", what);
  };
  if (c == C::battery)
    own = f.battery_fitted == Told::no     ? " One was taken off: show it."
          : f.battery_leaking == Told::yes ? " One is fitted and leaks."
                                           : " One is fitted.";
  if (c == C::battery) unknown(f.battery_fitted, "one is");
  if (c == C::dry && f.wet == Told::yes) own = " It is said to be wet.";
  if (c == C::picture_tube) unknown(f.picture_tube, "there is one");
  if (c == C::mains_capacitors) unknown(f.mains_capacitors, "there are any");
  if (c == C::above_50_v) unknown(f.above_50_v, "anything does");
  if (c == C::suppression) unknown(f.mains_suppression, "there are any");
  return facts(c).words + own;
}

std::string entry_words(const LockEntry& e) {
  std::string what;
  if (e.kind == K::override_)
    what = fmt::format("override, reason: {}", e.note);
  else if (e.supply)
    what = "record of supply " + e.supply->name;
  else if (e.value)
    what =
        fmt::format("reading {:g} {}{}", *e.value, e.unit, e.rail.empty() ? "" : " on " + e.rail);
  else if (!e.photo.empty())
    what = "photo " + e.photo;
  else
    what = "comparison: " + e.comparison;
  return fmt::format("{} by {}, {}", what, e.who, e.on);
}

// Whether one piece of evidence shows what its condition wants.
bool shows(const LockEntry& e) {
  const LockConditionFacts& f = facts(e.condition);
  if (e.condition == C::supply) return e.supply && fault_of(*e.supply).empty();
  if (e.value) return *f.unit != '\0' && *e.value >= f.low && *e.value <= f.high;
  if (!e.photo.empty()) return f.takes_photo;
  return f.takes_comparison && e.comparison == name(ChangeVerdict::nothing_left);
}

// Rails by name, each with its newest reading.
struct Rails {
  std::map<std::string, const LockEntry*> newest;
  const LockEntry* shorted = nullptr;
};

Rails rails_of(const PowerLock& lock, size_t first) {
  Rails rails;
  for (size_t i = first; i < lock.log.size(); ++i)
    if (lock.log[i].kind == K::evidence && lock.log[i].condition == C::rail_ohms)
      rails.newest[lock.log[i].rail] = &lock.log[i];
  for (const auto& [name, entry] : rails.newest)
    if (!shows(*entry)) rails.shorted = entry;
  return rails;
}

const SupplyCheck* named_supply(const PowerLock& lock, size_t first) {
  const SupplyCheck* supply = nullptr;
  for (size_t i = first; i < lock.log.size(); ++i)
    if (lock.log[i].condition == C::supply && lock.log[i].supply) supply = &*lock.log[i].supply;
  return supply;
}

void view_rails(const PowerLock& lock, ConditionView& view, const Valid& valid,
                const SupplyCheck* supply) {
  const Rails rails = rails_of(lock, valid.first);
  if (rails.shorted) {
    view.state = ConditionState::open;
    view.by = "stop, short: " + entry_words(*rails.shorted);
    return;
  }
  if (view.state == ConditionState::overridden || !supply) return;
  std::string missing;
  for (const SupplyRail& r : supply->rails)
    if (!rails.newest.contains(r.name)) missing += (missing.empty() ? "" : ", ") + r.name;
  if (missing.empty()) return;
  view.state = ConditionState::open;
  view.by = "no reading yet of " + missing;
}

bool may_override(const PowerLock& lock, C c, const Valid& valid) {
  const LockFacts& f = lock.facts;
  switch (c) {
    case C::picture_tube:
    case C::mains_capacitors:
      return false;
    case C::battery:  // nobody has said that it does not leak: it may
      return f.battery_fitted == Told::no ||
             (f.battery_fitted == Told::yes && f.battery_leaking == Told::no);
    case C::dry:
      return f.wet == Told::no;
    case C::rail_ohms:
      return !rails_of(lock, valid.first).shorted;
    default:
      return true;
  }
}

ConditionView view_of(const PowerLock& lock, C c, const Valid& valid, const SupplyCheck* supply) {
  ConditionView view{
      c, ConditionState::open, sentence_of(lock, c), {}, may_override(lock, c, valid)};
  for (size_t i = valid.first; i < lock.log.size(); ++i) {
    const LockEntry& e = lock.log[i];
    if (e.condition != c || (e.kind != K::evidence && e.kind != K::override_)) continue;
    if (e.kind == K::override_ && !view.may_override) continue;
    const bool is_shown = e.kind == K::override_ || shows(e);
    view.state = !is_shown                ? ConditionState::open
                 : e.kind == K::override_ ? ConditionState::overridden
                                          : ConditionState::met;
    view.by = (is_shown ? "" : "not enough: ") + entry_words(e);
  }
  if (c == C::rail_ohms) view_rails(lock, view, valid, supply);
  // A photo of a board that is said to be wet, or to have its battery, shows nothing.
  if ((c == C::dry && lock.facts.wet == Told::yes) ||
      (c == C::battery && view.state == ConditionState::met &&
       lock.facts.battery_fitted == Told::yes))
    view.state = ConditionState::open;
  return view;
}

}  // namespace

LockState state_of(const PowerLock& lock, const std::string& date) {
  day_number(date);  // refuses what is none
  LockState state;
  const Valid supply_valid = valid_from(lock, C::supply, date);
  const SupplyCheck* supply = named_supply(lock, supply_valid.first);
  size_t open = 0;
  for (const LockConditionFacts& row : lock_conditions()) {
    const Valid valid = valid_from(lock, row.condition, date);
    if (!applies(lock, row.condition, valid)) continue;
    state.conditions.push_back(view_of(lock, row.condition, valid, supply));
    open += state.conditions.back().state == ConditionState::open;
  }
  state.is_cleared = open == 0 && supply;
  if (state.is_cleared) state.supply = supply->name;
  state.headline = state.is_cleared
                       ? fmt::format("CLEARED FOR TEST with supply {}", supply->name)
                       : fmt::format("LOCKED: {} of {} conditions {} open", open,
                                     state.conditions.size(), open == 1 ? "is" : "are");
  return state;
}

}  // namespace verdigrid
