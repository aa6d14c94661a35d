#include "report/plan_section.h"

#include <fmt/format.h>

#include <map>

#include "plan/plan_words.h"
#include "plan/worth.h"

namespace verdigrid {

namespace {

std::string parts_words(const WorkItem& w) {
  std::string text;
  for (const ItemPart& p : w.parts) text += (text.empty() ? "" : " ") + p.designator;
  return text;
}

// "; net /RESET: U3 pin 5 to R12 pin 1"
std::string pairs_words(const WorkItem& w) {
  std::string text;
  for (const NetPair& p : w.pairs) text += "; " + words(p);
  return text;
}

std::string state_words(const Plan& plan, const WorkItem& w) {
  if (w.done)
    return fmt::format("done by {}{}{}", w.done_by, w.done_on.empty() ? "" : ", " + w.done_on,
                       w.actual_min ? ", " + minutes_words(*w.actual_min) : "");
  if (w.optional) return "offered, not counted";
  return block_of(plan, w).empty() ? "open" : "not yet: see above";
}

Table items_table(const Plan& plan, const Estimate& estimate) {
  std::map<std::string, Figures> figures;
  for (const NamedFigures& n : estimate.items) figures[n.name] = n.figures;
  Table t{"Work items in the trade's order",
          {"item", "where", "what", "likely", "allow up to", "method", "state"},
          {},
          {}};
  for (const WorkItem& w : plan.items) {
    const auto f = figures.find(w.id);
    const std::string parts = parts_words(w), pairs = pairs_words(w);
    t.rows.push_back({w.id, w.place.empty() ? "whole board" : w.place,
                      w.what + (parts.empty() ? "" : ": " + parts) + pairs,
                      f == figures.end() ? "" : minutes_words(f->second.likely_min),
                      f == figures.end() ? "" : minutes_words(f->second.allow_min),
                      method_words(w.operation), state_words(plan, w)});
  }
  return t;
}

Table order_table(const Plan& plan) {
  Table t{"Parts to order", {"part", "kind", "value", "rating", "price", "item"}, {}, {}};
  for (const PartToOrder& p : parts_to_order(plan))
    t.rows.push_back(
        {p.part.designator, name(p.part.kind), p.part.value, p.part.rating,
         p.price ? fmt::format("{:.2f} {}", *p.price, plan.rates.currency) : "no price",
         p.item + (p.optional ? " (offered)" : "")});
  return t;
}

Table conditions_table(const LockState& state) {
  Table t{"Conditions", {"condition", "what must be shown", "state", "by"}, {}, {}};
  for (const ConditionView& v : state.conditions)
    t.rows.push_back(
        {name(v.condition), v.sentence,
         v.state == ConditionState::open && !v.may_override ? "open, no override" : name(v.state),
         v.by});
  return t;
}

std::string power_words(const FirstPower& p) {
  std::string text = fmt::format("supply {}, limit {:g} A", p.supply, p.limit_a);
  for (const PowerPoint& q : p.points)
    text += fmt::format("; {:g} s: {:g} V, {:g} A", q.at_s, q.volts, q.amps);
  text += fmt::format("; smell or heat: {}", name(p.smell_or_heat));
  const std::string failure = failure_of(p);
  return failure.empty() ? text : text + "; failed: " + failure;
}

}  // namespace

Section plan_section(const Plan& plan, ReportVersion version, const std::string& prefix) {
  const Estimate e = estimate_of(plan);
  const Worth worth = worth_of(plan, e);
  Section s{prefix + "plan", plan.board + ": plan", {}};
  s.blocks.emplace_back(
      Paragraph{fmt::format("Hands-on work: {}. Waiting for cure and drying, apart: {}.",
                            figures_words(e.total), minutes_words(e.total.waiting_min)),
                Emphasis::strong});
  s.blocks.emplace_back(
      Paragraph{"Likely: half of such jobs take less. Allow up to: nine in ten "
                "take less. Both are estimates and no promise.",
                Emphasis::quiet});
  s.blocks.emplace_back(Paragraph{fmt::format("Worth it: {}{}.", name(worth.grade),
                                              worth.is_provisional ? ", provisional" : "")});
  for (const std::string& reason : worth.reasons) s.blocks.emplace_back(Paragraph{reason});
  if (version == ReportVersion::owner) return s;
  for (const Advice& a : advice_of(plan))
    s.blocks.emplace_back(Paragraph{words(a), a.refuses ? Emphasis::caution : Emphasis::quiet});
  if (!plan.items.empty()) s.blocks.emplace_back(items_table(plan, e));
  if (Table order = order_table(plan); !order.rows.empty()) s.blocks.emplace_back(std::move(order));
  return s;
}

Section lock_section(const PowerLock& lock, const std::string& date, ReportVersion version,
                     const std::string& prefix) {
  const LockState state = state_of(lock, date);
  Section s{prefix + "lock", lock.board + ": power lock", {}};
  s.blocks.emplace_back(
      Paragraph{state.headline + fmt::format(" (on {}).", date), Emphasis::strong});
  s.blocks.emplace_back(
      Paragraph{state.is_cleared ? "That is leave for a test with a current limit, no statement "
                                   "that the board works or is without danger."
                                 : "No power before every condition is met or overridden by name.",
                Emphasis::caution});
  if (version == ReportVersion::bench) s.blocks.emplace_back(conditions_table(state));
  return s;
}

std::optional<Section> tests_section(const PowerLock& lock, const std::string& prefix) {
  Table t{"", {"date", "who", "what", "result"}, {}, {}};
  for (const LockEntry& e : lock.log) {
    if (e.power) t.rows.push_back({e.on, e.who, "first power", power_words(*e.power)});
    for (const TestItem& item : e.tests)
      t.rows.push_back({e.on, e.who, item.what, name(item.verdict)});
  }
  if (t.rows.empty()) return std::nullopt;
  return Section{prefix + "tests", lock.board + ": first power and tests", {std::move(t)}};
}

}  // namespace verdigrid
