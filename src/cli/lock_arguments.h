// The arguments of 'verdigrid lock' and its parts.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/plan_place.h"
#include "plan/power_lock.h"

namespace verdigrid {

struct LockArguments {
  PlanPlace place;
  std::string on;  // date; empty: today
  bool prints_json = false;

  std::string condition, note, comparison, supply;
  std::filesystem::path photo;
  std::string reading;             // "7.2 pH"
  std::vector<std::string> rails;  // "+5V" of a reading, "+5V=5/5.03@1" of a supply
  std::string limit, smell_or_heat;
  std::vector<std::string> points, rail_ohms, items;

  std::string date() const;
  LockEntry entry(LockEntryKind kind) const;  // signed and dated
  LockEntry evidence() const;                 // without photo and supply
  LockEntry override_() const;
  LockEntry first_power() const;
  std::vector<LockEntry> rail_readings() const;
  LockEntry test(const std::vector<std::string>& list) const;  // `list`: of the board's type
  SupplyCheck supply_check() const;
};

void add_show_arguments(CLI::App& app, LockArguments& into);
void add_meet_arguments(CLI::App& app, LockArguments& into);
void add_override_arguments(CLI::App& app, LockArguments& into);
void add_power_arguments(CLI::App& app, LockArguments& into);
void add_test_arguments(CLI::App& app, LockArguments& into);
void add_found_arguments(CLI::App& app, LockArguments& into);
void add_supply_arguments(CLI::App& app, LockArguments& into);

}  // namespace verdigrid
