// The power lock of one board: LOCKED until every condition is met by evidence, or overridden by
// name where that is allowed; then CLEARED FOR TEST with a named supply, and never more than that.
//
// A value: what is known of the board, and a log that only grows. The state is computed from both
// and the date, so a failed test, a new finding or six months on the shelf lock again by
// themselves. File: format "verdigrid-power-lock", version 2 (version 1 knew no ledger),
// assets/schema/power-lock.schema.json. Dates are "YYYY-MM-DD". Throws Error{wrong_use} for entries
// that make no sense; the lock given stays as it was.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/bench_log.h"
#include "plan/lock_condition.h"
#include "plan/plan.h"

namespace verdigrid {

inline constexpr int k_power_lock_version = 3;

// What decides which conditions there are.
struct LockFacts {
  int findings = 0;             // flagged by the surveys
  int open_items = 0;           // work items that are neither done nor optional
  double unseen_percent = 100;  // of the worse side; a side that nobody surveyed is 100
  bool has_eaten_copper = false;
  std::vector<std::string> rail_parts;   // designators
  std::vector<std::string> parts_off;    // of the ledger: "U3", "X1 (lost)"
  std::vector<std::string> parts_asked;  // whose print, old part and meter do not agree
  Told battery_fitted = Told::not_known, battery_leaking = Told::not_known;
  bool battery_was_fitted = false;  // the plan takes one off: its absence is to be shown
  Told wet = Told::not_known;
  Told picture_tube = Told::not_known, mains_capacitors = Told::not_known;
  Told above_50_v = Told::not_known, mains_suppression = Told::not_known;
  bool operator==(const LockFacts&) const = default;
};
LockFacts lock_facts(const Plan& plan);
// With what the bench log says: ledger, readings, wet or dried.
LockFacts with_bench_log(LockFacts facts, const BenchLog& log);

struct SupplyRail {
  std::string name;  // "+5 V"
  double nominal_v = 0, measured_v = 0;
  double load_a = 0;  // of the dummy load, > 0
  bool operator==(const SupplyRail&) const = default;
};

// The record of a supply, which is a unit of its own.
struct SupplyCheck {
  std::string name;
  std::vector<SupplyRail> rails;
  bool operator==(const SupplyCheck&) const = default;
};
// What speaks against it as a sentence; empty: nothing.
std::string fault_of(const SupplyCheck& check);

struct PowerPoint {
  double at_s = 0, volts = 0, amps = 0;
  bool operator==(const PowerPoint&) const = default;
};
inline constexpr double k_power_points_s[] = {0, 10, 600};  // wanted of every first power

struct FirstPower {
  std::string supply;
  double limit_a = 0;  // current limit, > 0
  std::vector<PowerPoint> points;
  Told smell_or_heat = Told::not_known;  // must be answered
  bool operator==(const FirstPower&) const = default;
};
// Why it counts as failed, as a sentence; empty: it did not fail.
std::string failure_of(const FirstPower& power);

enum class TestVerdict { pass, fail, not_tested };
const char* name(TestVerdict verdict);  // "pass", "fail", "not tested"
std::optional<TestVerdict> test_verdict_named(std::string_view text);

struct TestItem {
  std::string what;
  TestVerdict verdict = TestVerdict::not_tested;
  bool operator==(const TestItem&) const = default;
};

enum class LockEntryKind { evidence, override_, finding, power, test };
const char* name(LockEntryKind kind);  // "evidence", "override", "new finding", ...

struct LockEntry {
  LockEntryKind kind = LockEntryKind::evidence;
  std::string who, on;  // name and date, neither empty
  std::string note;     // reason of an override, cause of a failure, what was found
  LockCondition condition = LockCondition::inspection;  // of evidence and override
  std::string photo, photo_sha256;                      // name; hash where it is stored
  std::optional<double> value;                          // reading
  std::string unit, rail;
  std::string comparison;  // verdict of a comparison, "nothing-left" ...
  std::optional<SupplyCheck> supply;
  std::optional<FirstPower> power;
  std::vector<TestItem> tests;
  bool operator==(const LockEntry&) const = default;
};

struct PowerLock {
  std::string board;
  LockFacts facts;
  std::vector<LockEntry> log;  // oldest first
  bool operator==(const PowerLock&) const = default;
};

enum class ConditionState { open, met, overridden };
const char* name(ConditionState state);

struct ConditionView {
  LockCondition condition = LockCondition::inspection;
  ConditionState state = ConditionState::open;
  std::string sentence;       // what must be shown, with the board's own figures
  std::string by;             // "reading 7.1 pH by Ada, 2026-03-01"; why evidence was not enough
  bool may_override = false;  // now, for this board
};

struct LockState {
  bool is_cleared = false;
  std::string supply;                     // name; empty while locked
  std::vector<ConditionView> conditions;  // that apply to this board
  std::string headline;  // "LOCKED: 7 of 12 conditions are open" or "CLEARED FOR TEST with supply
                         // NAME"
};
// `date`: today.
LockState state_of(const PowerLock& lock, const std::string& date);

// New facts (a new plan, more told). More findings than before are a new finding and lock again.
PowerLock with_facts(const PowerLock& lock, const LockFacts& facts, const std::string& who,
                     const std::string& date);

// Appends. Evidence that fits its condition but is out of range (a rail below 1 ohm) is kept in the
// log and leaves the condition open. First power and tests are refused while the board is LOCKED.
PowerLock with_entry(const PowerLock& lock, const LockEntry& entry);

std::string power_lock_json(const PowerLock& lock, const std::string& date);
PowerLock power_lock_from_json(std::string_view text, std::string_view where);
PowerLock load_power_lock(const std::filesystem::path& path);

// Headline, conditions with how each is met, cautions, log.
std::string power_lock_words(const PowerLock& lock, const std::string& date);

}  // namespace verdigrid
