#include <algorithm>

#include "plan/plan.h"

namespace verdigrid {

namespace {

bool is_replacing(Operation o) {
  return o == Operation::replace_smd_can || o == Operation::replace_leaded_can;
}

std::optional<double> price_of(const RateTable& rates, const ItemPart& part) {
  for (const PartPrice& p : rates.parts)
    if (p.part == part.designator || (!part.value.empty() && p.part == part.value) ||
        (!part.package.empty() && p.part == part.package) || p.part == name(part.kind))
      return p.price;
  return std::nullopt;
}

}  // namespace

Task task_of(const Plan& plan, const WorkItem& w) {
  Task t;
  t.id = w.id;
  t.board = plan.board;
  t.zone = w.place;
  t.operation = w.operation;
  t.quantity = w.quantity;
  t.by_piece = facts(w.operation).by_piece;
  if (w.minutes) t.each = *w.minutes;
  if (!w.minutes || w.operation != Operation::other) {
    const Rate& rate = rate_of(plan.rates, w.operation);
    if (!w.minutes) t.each = w.damaged ? rate.damaged : rate.sound;
    t.set_up = rate.set_up;
    t.slope = rate.learning_slope;
    t.waiting_min = rate.waiting_min;
    t.material = rate.consumables * w.quantity;
  }
  if (w.waiting_min) t.waiting_min = *w.waiting_min;
  if (is_replacing(w.operation))
    for (const ItemPart& part : w.parts) t.material += price_of(plan.rates, part).value_or(0);
  return t;
}

std::vector<Task> tasks_of(const Plan& plan) {
  std::vector<Task> tasks;
  for (const WorkItem& w : plan.items)
    if (!w.done && !w.optional) tasks.push_back(task_of(plan, w));
  return tasks;
}

Estimate estimate_of(const Plan& plan, const Work& work) {
  return estimate_of(tasks_of(plan), estimate_options(plan.rates), work);
}

std::vector<Actual> actuals_of(const Plan& plan) {
  std::vector<Actual> list;
  for (const WorkItem& w : plan.items)
    if (w.done && w.actual_min && *w.actual_min > 0 && w.operation != Operation::other)
      list.push_back({w.operation, w.damaged, w.done_by, *w.actual_min, w.quantity, w.done_on});
  return list;
}

std::vector<PartToOrder> replaced_parts(const Plan& plan) {
  std::vector<PartToOrder> list;
  for (const WorkItem& w : plan.items)
    if (is_replacing(w.operation))
      for (const ItemPart& part : w.parts)
        list.push_back({part, w.id, w.optional, w.done, price_of(plan.rates, part)});
  return list;
}

std::vector<PartToOrder> parts_to_order(const Plan& plan) {
  std::vector<PartToOrder> list = replaced_parts(plan);
  std::erase_if(list, [](const PartToOrder& p) { return p.is_fitted; });
  return list;
}

}  // namespace verdigrid
