// The conditions that forbid power, in one table: what must be shown, by what evidence, and whether
// a person may override it.
//
// Order and tests: the gate that restorers use (practitioners' reports, unverified; visual check,
// loose metal, supply alone under dummy load, current limit). Limits without a published source are
// marked common practice.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace verdigrid {

enum class LockCondition {
  battery,   // none fitted
  findings,  // what was flagged is shown to be gone
  work,      // work items of the plan that are open
  ledger,    // parts off and on differ
  readings,  // print, old part and meter differ
  unseen,    // share that nobody has seen
  rinsed,
  dry,
  strip,  // near 7 after the rinse
  after_wash_photo,
  eaten_copper,
  rail_parts,   // parts of the rails that residue reached
  suppression,  // old suppression capacitors across the mains
  picture_tube,
  mains_capacitors,
  above_50_v,
  earth_bond,
  inspection,   // by eye, under magnification; smell
  loose_metal,  // bridges, seated parts
  rail_ohms,    // each rail to ground
  supply,       // inspected, under dummy load
  failed_test,
  shelf,  // six months without a look
};
inline constexpr int k_lock_condition_count = static_cast<int>(LockCondition::shelf) + 1;

const char* name(LockCondition condition);  // "rail-ohms"
std::optional<LockCondition> lock_condition_named(std::string_view text);

namespace lock_limits {
inline constexpr double k_unseen_percent = 10;  // common practice, no source
inline constexpr double k_discharged_v = 5;     // common practice, no source
inline constexpr double k_continuous_ohm = 5;   // common practice, no source
inline constexpr double k_bond_ohm = 1;         // common practice; local codes decide
inline constexpr int k_shelf_months = 6;
inline constexpr double k_supply_off = 0.1;  // of the nominal volts: common practice, no source
}  // namespace lock_limits

struct LockConditionFacts {
  LockCondition condition;
  const char* name;
  const char* words;  // what must be shown, as a sentence
  bool takes_photo;
  bool takes_comparison;
  const char* unit;  // of a reading; empty: no reading is taken
  double low, high;  // readings that meet it
  const char* source;
};
const LockConditionFacts& facts(LockCondition condition);
std::span<const LockConditionFacts> lock_conditions();

// "a photo, or a reading in ohm of 1 or more"
std::string evidence_words(LockCondition condition);

}  // namespace verdigrid
