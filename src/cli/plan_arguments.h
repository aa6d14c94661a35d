// The arguments of 'verdigrid plan' and its parts.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/known_arguments.h"
#include "cli/new_file.h"
#include "cli/plan_place.h"
#include "plan/edit_plan.h"

namespace verdigrid {

struct PlanArguments {
  PlanPlace place;
  std::filesystem::path back;  // survey folder of the other side
  KnownArguments known;
  std::filesystem::path rates, layout, out;
  NewFile sheet;
  std::filesystem::path review, photo;  // of the target's survey folder
  double least_confidence = 0;
  bool may_replace = false, prints_json = false;

  std::string item, on;
  std::vector<std::string> items, parts;
  std::optional<double> minutes, quantity;
  std::string operation, side = "front";
  ItemEdit change;

  std::vector<std::filesystem::path> folders() const;
  WorkItem new_item() const;  // throws Error{wrong_use}
  ItemEdit edit() const;      // throws Error{wrong_use} when nothing is changed
};

void add_make_arguments(CLI::App& app, PlanArguments& into);
void add_show_arguments(CLI::App& app, PlanArguments& into);
void add_tell_arguments(CLI::App& app, PlanArguments& into);
void add_item_arguments(CLI::App& app, PlanArguments& into);
void add_tick_arguments(CLI::App& app, PlanArguments& into);
void add_actual_arguments(CLI::App& app, PlanArguments& into);
void add_add_arguments(CLI::App& app, PlanArguments& into);
void add_edit_arguments(CLI::App& app, PlanArguments& into);
void add_merge_arguments(CLI::App& app, PlanArguments& into);
void add_split_arguments(CLI::App& app, PlanArguments& into);
void add_sheet_arguments(CLI::App& app, PlanArguments& into);

}  // namespace verdigrid
