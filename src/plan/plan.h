// The plan of one board: work items in the trade's order, what is known, and what is refused.
//
// A plain value; every change gives a new one (plan/edit_plan.h), so it can be undone. File: format
// "verdigrid-plan", version 3 (version 1 had no revision of values,
// version 2 no pairs),
// assets/schema/plan.schema.json. Minutes are hands-on.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/actuals.h"
#include "plan/advice.h"
#include "plan/board_facts.h"
#include "plan/estimate.h"
#include "plan/known.h"
#include "plan/net_pairs.h"
#include "plan/neutraliser.h"

namespace verdigrid {

inline constexpr int k_plan_version = 3;

struct ItemPart {
  std::string designator;
  PartKind kind = PartKind::unknown;
  std::string value, rating, package;  // empty: not known
  std::string revision;                // of the layout that they come from; empty: it states none
  bool operator==(const ItemPart&) const = default;
};

struct WorkItem {
  std::string id;  // "W3": unique in its plan and never used again
  Operation operation = Operation::other;
  Stage stage = Stage::look;
  std::string what;   // "clean locally with swab and soft brush"
  std::string place;  // work area; empty: the whole board
  Side side = Side::front;
  std::vector<ItemPart> parts;
  std::vector<NetPair> pairs;         // continuity: where to hold the meter; empty: no nets known
  std::vector<int> findings;          // ids of that side's survey
  double quantity = 1;                // in the operation's pieces
  bool damaged = false;               // which triple of the rate table
  bool optional = false;              // offered, not counted
  std::string reason;                 // why it is there, and how sure
  std::optional<Triple> minutes;      // per piece, in place of the rate table's
  std::optional<double> waiting_min;  // in place of the rate table's
  bool done = false;
  std::string done_by, done_on;
  std::optional<double> actual_min;  // hands-on, as logged
  bool operator==(const WorkItem&) const = default;
};

// Which survey a side of the plan was made from.
struct PlanSide {
  Side side = Side::front;
  std::string photo, photo_sha256, detector;
  int findings = 0;
  double unseen_percent = 0;
  Severity severity = Severity::none;
  bool has_mm = false, has_layout = false;
  bool operator==(const PlanSide&) const = default;
};

struct Plan {
  std::string board;  // name
  std::vector<PlanSide> sides;
  std::vector<PartKind> fitted;  // kinds of parts that the layouts show
  Known known;
  RateTable rates;
  std::vector<WorkItem> items;
  int next_id = 1;
  bool operator==(const Plan&) const = default;
};

// One side or both, in any order; no survey, no plan (Error{wrong_use}).
Plan plan_of(const std::string& board, const std::vector<SideFacts>& sides, const Known& known,
             const RateTable& rates);

// Why this item must not be done yet, as a sentence; empty when nothing speaks against it.
std::string block_of(const Plan& plan, const WorkItem& item);

// What to know while doing it: neutraliser, drying, dust, method.
std::vector<Advice> advice_for(const Plan& plan, const WorkItem& item);

// What is said of the whole board, refusals first.
std::vector<Advice> advice_of(const Plan& plan);

// One item as the estimate sees it, done or not.
Task task_of(const Plan& plan, const WorkItem& item);

// Items that are neither done nor optional, for the estimate.
std::vector<Task> tasks_of(const Plan& plan);
Estimate estimate_of(const Plan& plan, const Work& work = {});

// Minutes logged on items that are done.
std::vector<Actual> actuals_of(const Plan& plan);

// New parts that items ask for; `price` from the rate table.
struct PartToOrder {
  ItemPart part;
  std::string item;  // id
  bool optional = false;
  bool is_fitted = false;  // its item is done
  std::optional<double> price;
};
std::vector<PartToOrder> replaced_parts(const Plan& plan);  // of all items
std::vector<PartToOrder> parts_to_order(const Plan& plan);  // of those that are not done

std::string plan_json(const Plan& plan);
// Throws bad_input naming the JSON path, storage for a newer version.
Plan plan_from_json(std::string_view text, std::string_view where);
Plan load_plan(const std::filesystem::path& path);

}  // namespace verdigrid
