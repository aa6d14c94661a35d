// Changes to a plan, each giving a new plan: add, edit, merge, split, tick, log minutes, tell more.
//
// Throws Error{wrong_use} with a sentence when the plan has no such item or the change makes no
// sense; the plan given stays as it was.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

const WorkItem& item_of(const Plan& plan, const std::string& id);
const WorkItem& item_of(Plan&& plan, const std::string& id) = delete;  // would be gone at once

// The item gets an id of its own and its place in the trade's order.
Plan with_item(const Plan& plan, WorkItem item);
Plan without_item(const Plan& plan, const std::string& id);

// Only what is set is changed.
struct ItemEdit {
  std::optional<std::string> what, place, reason;
  std::optional<double> quantity;
  std::optional<bool> damaged, optional;
  std::optional<Triple> minutes;
  std::optional<double> waiting_min;
  std::optional<Stage> stage;
};
Plan with_edit(const Plan& plan, const std::string& id, const ItemEdit& edit);

// Items of one operation, not done, become the first of them; quantities and parts add up.
Plan merged(const Plan& plan, const std::vector<std::string>& ids);

// `quantity` of an item, or those of its parts that are named, become an item of their own.
Plan split(const Plan& plan, const std::string& id, double quantity);
Plan split(const Plan& plan, const std::string& id, const std::vector<std::string>& designators);

struct Tick {
  std::string who, on;               // who must not be empty
  std::optional<double> actual_min;  // hands-on
};
// Refused while block_of says why not.
Plan ticked(const Plan& plan, const std::string& id, const Tick& tick);
Plan unticked(const Plan& plan, const std::string& id);
Plan with_actual(const Plan& plan, const std::string& id, double minutes);

// More is known: blocks, advice and grade follow by themselves; items stay as they are.
Plan with_known(const Plan& plan, const Known& known);

}  // namespace verdigrid
