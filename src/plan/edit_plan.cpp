#include "plan/edit_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "plan/make_plan.h"

namespace verdigrid {

namespace {

constexpr double k_most = 100'000;  // minutes or pieces

[[noreturn]] void refuse(const std::string& sentence) {
  throw Error(ErrorKind::wrong_use, sentence);
}

template <class P>
auto& found(P& plan, const std::string& id) {
  for (auto& w : plan.items)
    if (w.id == id) return w;
  refuse(fmt::format("{}: the plan has no such work item; 'verdigrid plan show' lists them.", id));
}

void check_number(const std::string& id, const char* what, double v, bool may_be_0) {
  if (!(v > 0 || (may_be_0 && v == 0)) || v > k_most)
    refuse(fmt::format("{}: {} must be {} 0 and {:g} at most.", id, what,
                       may_be_0 ? "at least" : "above", k_most));
}

void check_item(const WorkItem& w) {
  const std::string id = w.id.empty() ? "The new item" : w.id;
  if (w.what.empty()) refuse(id + ": say in words what is to be done.");
  check_number(id, "the quantity", w.quantity, false);
  if (w.waiting_min) check_number(id, "waiting minutes", *w.waiting_min, true);
  if (w.minutes) {
    const Triple& t = *w.minutes;
    if (!(0 < t.low && t.low <= t.likely && t.likely <= t.high && t.high <= k_most))
      refuse(id + ": minutes are low, likely and high, rising and above 0.");
  }
  if (w.operation == Operation::other && !w.minutes)
    refuse(id + ": other work is in no rate table; give it minutes of its own.");
}

WorkItem& open_item(Plan& plan, const std::string& id) {
  WorkItem& w = found(plan, id);
  if (w.done) refuse(id + ": is ticked off; take the tick back first.");
  return w;
}

Plan with_parts_split_off(const Plan& plan, const std::string& id, WorkItem part) {
  Plan out = plan;
  part.id.clear();
  const auto at = std::find_if(out.items.begin(), out.items.end(),
                               [&id](const WorkItem& w) { return w.id == id; });
  out.items.insert(at + 1, std::move(part));
  give_ids(out);
  return out;
}

}  // namespace

const WorkItem& item_of(const Plan& plan, const std::string& id) { return found(plan, id); }

Plan with_item(const Plan& plan, WorkItem item) {
  item.id.clear();
  if (item.what.empty() && item.operation != Operation::other)
    item.what = facts(item.operation).words;
  check_item(item);
  Plan out = plan;
  out.items.push_back(std::move(item));
  give_ids(out);
  sort_by_trade(out.items);
  return out;
}

Plan without_item(const Plan& plan, const std::string& id) {
  Plan out = plan;
  open_item(out, id);
  std::erase_if(out.items, [&id](const WorkItem& w) { return w.id == id; });
  return out;
}

Plan with_edit(const Plan& plan, const std::string& id, const ItemEdit& e) {
  Plan out = plan;
  WorkItem& w = found(out, id);
  if (e.what) w.what = *e.what;
  if (e.place) w.place = *e.place;
  if (e.reason) w.reason = *e.reason;
  if (e.quantity) w.quantity = *e.quantity;
  if (e.damaged) w.damaged = *e.damaged;
  if (e.optional) w.optional = *e.optional;
  if (e.minutes) w.minutes = e.minutes;
  if (e.waiting_min) w.waiting_min = e.waiting_min;
  if (e.stage) w.stage = *e.stage;
  check_item(w);
  sort_by_trade(out.items);
  return out;
}

Plan merged(const Plan& plan, const std::vector<std::string>& ids) {
  if (ids.size() < 2) refuse("Name two work items or more to merge.");
  Plan out = plan;
  for (size_t i = 1; i < ids.size(); ++i) {
    const WorkItem from = open_item(out, ids[i]);
    WorkItem& into = open_item(out, ids.front());
    if (from.id == into.id) refuse(from.id + ": was named twice.");
    if (from.operation != into.operation || from.stage != into.stage || from.side != into.side)
      refuse(
          fmt::format("{} and {}: are different work; only items of one operation, stage and "
                      "side are merged.",
                      into.id, from.id));
    into.quantity += from.quantity;
    into.damaged |= from.damaged;
    into.optional &= from.optional;
    into.parts.insert(into.parts.end(), from.parts.begin(), from.parts.end());
    into.pairs.insert(into.pairs.end(), from.pairs.begin(), from.pairs.end());
    for (const int f : from.findings)
      if (std::find(into.findings.begin(), into.findings.end(), f) == into.findings.end())
        into.findings.push_back(f);
    if (into.place != from.place && !from.place.empty())
      into.place += (into.place.empty() ? "" : ", ") + from.place;
    std::erase_if(out.items, [&from](const WorkItem& w) { return w.id == from.id; });
  }
  return out;
}

Plan split(const Plan& plan, const std::string& id, double quantity) {
  Plan out = plan;
  WorkItem& w = open_item(out, id);
  if (!(quantity > 0 && quantity < w.quantity))
    refuse(fmt::format("{}: split off more than 0 and less than its {:g}.", id, w.quantity));
  if (!w.parts.empty() && facts(w.operation).by_piece)
    refuse(fmt::format("{}: name the parts to split off, so that none is lost.", id));
  WorkItem part = w;
  part.quantity = quantity;
  w.quantity -= quantity;
  const auto kept = static_cast<std::ptrdiff_t>(w.pairs.size()) -
                    std::min(static_cast<std::ptrdiff_t>(w.pairs.size()),
                             static_cast<std::ptrdiff_t>(std::lround(quantity)));
  part.pairs.erase(part.pairs.begin(), part.pairs.begin() + kept);
  w.pairs.erase(w.pairs.begin() + kept, w.pairs.end());
  return with_parts_split_off(out, id, std::move(part));
}

Plan split(const Plan& plan, const std::string& id, const std::vector<std::string>& designators) {
  Plan out = plan;
  WorkItem& w = open_item(out, id);
  WorkItem part = w;
  const auto is_named = [&](const ItemPart& p) {
    return std::find(designators.begin(), designators.end(), p.designator) != designators.end();
  };
  for (const std::string& d : designators)
    if (std::none_of(w.parts.begin(), w.parts.end(),
                     [&d](const ItemPart& p) { return p.designator == d; }))
      refuse(fmt::format("{}: has no part {}.", id, d));
  std::erase_if(part.parts, [&](const ItemPart& p) { return !is_named(p); });
  if (part.parts.empty() || part.parts.size() == w.parts.size())
    refuse(fmt::format("{}: name some of its parts, not none and not all.", id));
  part.quantity =
      w.quantity * static_cast<double>(part.parts.size()) / static_cast<double>(w.parts.size());
  w.quantity -= part.quantity;
  std::erase_if(w.parts, is_named);
  return with_parts_split_off(out, id, std::move(part));
}

Plan ticked(const Plan& plan, const std::string& id, const Tick& tick) {
  if (tick.who.empty()) refuse(id + ": say who did it.");
  Plan out = plan;
  WorkItem& w = open_item(out, id);
  if (const std::string why = block_of(plan, w); !why.empty())
    refuse(fmt::format("{} cannot be ticked off: {}", id, why));
  if (tick.actual_min) check_number(id, "minutes", *tick.actual_min, false);
  w.done = true;
  w.optional = false;
  w.done_by = tick.who;
  w.done_on = tick.on;
  w.actual_min = tick.actual_min;
  return out;
}

Plan unticked(const Plan& plan, const std::string& id) {
  Plan out = plan;
  WorkItem& w = found(out, id);
  if (!w.done) refuse(id + ": is not ticked off.");
  w.done = false;
  w.done_by.clear();
  w.done_on.clear();
  w.actual_min.reset();
  return out;
}

Plan with_actual(const Plan& plan, const std::string& id, double minutes) {
  Plan out = plan;
  WorkItem& w = found(out, id);
  if (!w.done) refuse(id + ": tick it off first; minutes are logged on what is done.");
  check_number(id, "minutes", minutes, false);
  w.actual_min = minutes;
  return out;
}

Plan with_known(const Plan& plan, const Known& known) {
  Plan out = plan;
  out.known = known;
  return out;
}

}  // namespace verdigrid
