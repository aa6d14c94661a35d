#include "plan/make_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "base/error.h"

namespace verdigrid {

namespace {

bool has_operation(const Plan& plan, Operation o) {
  return std::any_of(plan.items.begin(), plan.items.end(),
                     [o](const WorkItem& w) { return w.operation == o; });
}

WorkItem board_item(Operation o, double quantity, const std::string& reason) {
  WorkItem w;
  w.operation = o;
  w.stage = facts(o).stage;
  w.what = facts(o).words;
  w.quantity = quantity;
  w.reason = reason;
  return w;
}

double cleaned_cm2(const Plan& plan) {
  double cm2 = 0;
  for (const WorkItem& w : plan.items)
    if (w.operation == Operation::local_clean) cm2 += w.quantity * 10;
  return cm2;
}

void add_board_items(Plan& plan) {
  const Known& k = plan.known;
  if (k.battery_fitted == Told::yes && !has_operation(plan, Operation::remove_battery)) {
    WorkItem w = board_item(Operation::remove_battery, 1, "a battery is fitted");
    w.damaged = k.battery_leaking != Told::no;
    plan.items.push_back(std::move(w));
  }
  if (!has_operation(plan, Operation::local_clean)) return;
  if (k.coated != Told::no) {
    WorkItem w = board_item(
        Operation::strip_coating, cleaned_cm2(plan),
        k.coated == Told::yes ? "the board is coated" : "only if the board is coated: not known");
    w.optional = k.coated == Told::not_known;
    plan.items.push_back(w);
    if (!has_operation(plan, Operation::recoat)) {
      w = board_item(Operation::recoat, std::max(cleaned_cm2(plan) / 10, 0.1), w.reason);
      w.optional = k.coated == Told::not_known;
      plan.items.push_back(std::move(w));
    }
  }
  plan.items.push_back(board_item(Operation::rinse, 1, "cleaner left behind is a new fault"));
  plan.items.push_back(board_item(Operation::dry, 1, "wet residue conducts"));
}

PlanSide plan_side(const SideFacts& s) {
  return {s.side,
          s.photo,
          s.photo_sha256,
          s.detector,
          static_cast<int>(s.findings.size()),
          s.unseen_percent,
          s.severity,
          s.has_mm,
          s.has_layout};
}

}  // namespace

void sort_by_trade(std::vector<WorkItem>& items) {
  const auto key = [](const WorkItem& w) {
    return std::tuple(w.stage, w.optional, w.place.empty(), w.place, w.side, w.operation);
  };
  std::stable_sort(items.begin(), items.end(),
                   [&](const WorkItem& a, const WorkItem& b) { return key(a) < key(b); });
}

void give_ids(Plan& plan) {
  for (WorkItem& w : plan.items)
    if (w.id.empty()) w.id = fmt::format("W{}", plan.next_id++);
}

Plan plan_of(const std::string& board, const std::vector<SideFacts>& sides, const Known& known,
             const RateTable& rates) {
  if (sides.empty())
    throw Error(ErrorKind::wrong_use,
                "A plan needs a survey: survey the front or the back first ('verdigrid survey').");
  if (sides.size() > 2 || (sides.size() == 2 && sides[0].side == sides[1].side))
    throw Error(ErrorKind::wrong_use,
                "A plan takes one survey of the front and one of the back, not two of one side.");
  Plan plan;
  plan.board = board;
  plan.known = known;
  plan.rates = rates;
  std::set<PartKind> fitted;
  for (const SideFacts& s : sides) {
    plan.sides.push_back(plan_side(s));
    for (const PartFact& p : s.parts) fitted.insert(p.kind);
  }
  plan.fitted.assign(fitted.begin(), fitted.end());
  for (const SideFacts& s : sides) {
    PlanMaker maker(plan, s);
    maker.add_parts();
    maker.add_areas();
    maker.add_side();
  }
  add_board_items(plan);
  sort_by_trade(plan.items);
  give_ids(plan);
  return plan;
}

}  // namespace verdigrid
