#include "plan/worth.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

// Beta posterior of a lifted pad: 2 in 100 on Jeffreys' prior (1/2, 1/2).
constexpr double k_lifted = 2.5, k_held = 98.5;
constexpr double k_worrying_lift = 0.5;  // common practice, no source

int cans_of(const Plan& plan) {
  double cans = 0;
  for (const WorkItem& w : plan.items)
    if (w.operation == Operation::replace_smd_can && !w.done && !w.optional) cans += w.quantity;
  return static_cast<int>(std::lround(cans));
}

bool is_ask_first(const Plan& plan) {
  return std::any_of(plan.sides.begin(), plan.sides.end(),
                     [](const PlanSide& s) { return s.severity == Severity::ask_first; });
}

bool is_checked(const Known& k) { return k.washed == Told::yes && k.traces_checked == Told::yes; }

std::string money(double amount, const Plan& plan) {
  return fmt::format("{:.0f} {}", amount, plan.rates.currency);
}

std::string cost_words(const Worth& w, const Plan& plan) {
  if (!w.has_labour && w.allow_cost == 0)
    return "No cost: the rate table states no money per hour.";
  std::string text = fmt::format("Cost likely {}, allow up to {}", money(w.likely_cost, plan),
                                 money(w.allow_cost, plan));
  if (!w.has_labour) text += ", labour left out: no money per hour stated";
  if (w.unpriced_parts > 0) text += fmt::format(", {} parts without a price", w.unpriced_parts);
  return text + ".";
}

void add_cost_reasons(Worth& w, const Plan& plan) {
  w.reasons.push_back(cost_words(w, plan));
  w.reasons.push_back(plan.known.owner_value ? fmt::format("The owner values it at {}.",
                                                           money(*plan.known.owner_value, plan))
                                             : "What it is worth to its owner is not stated.");
}

void add_risk_reasons(Worth& w, const Plan& plan, double lift) {
  if (lift > 0)
    w.reasons.push_back(
        fmt::format("At least one pad lifts in {:.0f} of 100 such boards "
                    "(practitioners' report of 2 pads in about 100, unverified).",
                    lift * 100));
  for (std::string& s : exceeded_limits(plan.known.etch)) w.reasons.push_back(std::move(s));
  if (plan.known.etch == EtchReading{}) w.reasons.push_back("Etched copper was not measured.");
  if (is_ask_first(plan))
    w.reasons.push_back("The survey says: ask first (severity, this program's own rule).");
  w.reasons.push_back(plan.known.spares_known == Told::yes ? "Spares can be had."
                      : plan.known.spares_known == Told::no
                          ? "No spares are known."
                          : "Whether spares can be had is not known.");
}

WorthGrade grade_of(const Worth& w, const Plan& plan, double lift) {
  const bool is_risky = !exceeded_limits(plan.known.etch).empty() || is_ask_first(plan);
  if (!plan.known.owner_value || !w.has_labour) return WorthGrade::ask_first;
  const double value = *plan.known.owner_value;
  if (w.likely_cost > value)
    return is_checked(plan.known) && plan.known.spares_known != Told::no ? WorthGrade::parts_donor
                                                                         : WorthGrade::ask_first;
  if (is_risky) return WorthGrade::ask_first;
  if (w.allow_cost > value || lift >= k_worrying_lift) return WorthGrade::repair_if_valued;
  return WorthGrade::repair;
}

}  // namespace

const char* name(WorthGrade grade) {
  switch (grade) {
    case WorthGrade::repair:
      return "repair";
    case WorthGrade::repair_if_valued:
      return "repair if valued";
    case WorthGrade::ask_first:
      return "ask first";
    case WorthGrade::parts_donor:
      return "parts donor";
  }
  return "";
}

std::vector<std::string> exceeded_limits(const EtchReading& e) {
  namespace limits = etch_limits;
  constexpr const char* manual = "US Army TM 11-5820-922-40-1 para 3-15";
  std::vector<std::string> list;
  const auto add = [&](bool is_exceeded, const std::string& what) {
    if (is_exceeded)
      list.push_back(fmt::format("{}: a published reject limit ({}).", what, manual));
  };
  if (e.width_loss_percent)
    add(*e.width_loss_percent > limits::k_width_loss_percent,
        fmt::format("A conductor lost {:.0f} % of its width, more than 20 %",
                    *e.width_loss_percent));
  if (e.width_left_mm)
    add(*e.width_left_mm < limits::k_width_left_mm,
        fmt::format("A conductor has {:.3g} mm left, less than 0.254 mm", *e.width_left_mm));
  if (e.pad_loss_percent)
    add(*e.pad_loss_percent > limits::k_pad_loss_percent,
        fmt::format("A pad lost {:.0f} % of its area, more than 25 %", *e.pad_loss_percent));
  add(e.lifted_conductor == Told::yes, "A conductor is lifted");
  add(e.pit_into_hole == Told::yes, "A crack or pit runs into a plated hole");
  return list;
}

double lifted_pad_probability(int cans) {
  require(cans >= 0, "a number of cans is not below 0");
  double none = 1;  // beta-binomial: product of the chances that the next one holds too
  for (int i = 0; i < cans; ++i) none *= (k_held + i) / (k_held + k_lifted + i);
  return 1 - none;
}

Worth worth_of(const Plan& plan, const Estimate& estimate) {
  Worth w;
  w.likely_cost = likely_cost(estimate.total, plan.rates.money_per_hour);
  w.allow_cost = allow_cost(estimate.total, plan.rates.money_per_hour);
  w.has_labour = plan.rates.money_per_hour > 0;
  for (const PartToOrder& p : parts_to_order(plan)) w.unpriced_parts += !p.price && !p.optional;
  const double lift = lifted_pad_probability(cans_of(plan));
  w.is_provisional = !is_checked(plan.known);
  w.grade = grade_of(w, plan, lift);
  add_cost_reasons(w, plan);
  add_risk_reasons(w, plan, lift);
  if (w.is_provisional)
    w.reasons.push_back("Decide after wash and trace checks: a photo alone decides nothing.");
  return w;
}

}  // namespace verdigrid
