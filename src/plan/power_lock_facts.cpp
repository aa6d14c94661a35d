#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/ledger.h"
#include "plan/power_lock.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace {

// Parts that usually sit on a rail (common practice, no source).
bool is_on_rails(PartKind k) {
  switch (k) {
    case PartKind::aluminium_smd:
    case PartKind::aluminium_radial:
    case PartKind::aluminium_axial:
    case PartKind::tantalum:
    case PartKind::inductor:
    case PartKind::transformer:
    case PartKind::diode:
    case PartKind::fuse:
      return true;
    default:
      return false;
  }
}

}  // namespace

LockFacts lock_facts(const Plan& plan) {
  LockFacts f;
  f.unseen_percent = plan.sides.size() < 2 ? 100 : 0;
  for (const PlanSide& s : plan.sides) {
    f.findings += s.findings;
    f.unseen_percent = std::max(f.unseen_percent, s.unseen_percent);
  }
  for (const WorkItem& w : plan.items) {
    f.open_items += !w.done && !w.optional;
    f.battery_was_fitted |= w.operation == Operation::remove_battery;
    f.has_eaten_copper |= w.operation == Operation::trace_by_wire;
    for (const ItemPart& p : w.parts)
      if (!w.optional && is_on_rails(p.kind) &&
          std::find(f.rail_parts.begin(), f.rail_parts.end(), p.designator) == f.rail_parts.end())
        f.rail_parts.push_back(p.designator);
  }
  const Known& k = plan.known;
  f.battery_fitted = k.battery_fitted;
  f.battery_leaking = k.battery_leaking;
  f.wet = k.wet;
  f.picture_tube = k.picture_tube;
  f.mains_capacitors = k.mains_capacitors;
  f.above_50_v = k.above_50_v;
  f.mains_suppression = k.mains_suppression;
  return f;
}

LockFacts with_bench_log(LockFacts f, const BenchLog& log) {
  f.parts_off.clear();
  for (const LedgerRow& row : ledger(log))
    if (is_owed(row.state))
      f.parts_off.push_back(row.designator + (row.state == PartState::lost ? " (lost)" : ""));
  f.parts_asked.clear();
  for (const PartReading& r : newest_readings(events<PartReading>(log)))
    if (!agreement_of(r).agrees &&
        std::find(f.parts_asked.begin(), f.parts_asked.end(), r.designator) == f.parts_asked.end())
      f.parts_asked.push_back(r.designator);
  switch (wash_state(log).wetness) {
    case Wetness::not_known:
      break;
    case Wetness::wet:
      f.wet = Told::yes;
      break;
    case Wetness::dried:
      f.wet = Told::no;
      break;
  }
  return f;
}

std::string fault_of(const SupplyCheck& check) {
  if (check.name.empty()) return "The supply has no name.";
  if (check.rails.empty())
    return fmt::format("{}: no rail of it was measured under dummy load.", check.name);
  for (const SupplyRail& r : check.rails) {
    if (!(r.load_a > 0))
      return fmt::format("{}, rail {}: was measured without a load.", check.name, r.name);
    if (std::abs(r.measured_v - r.nominal_v) > lock_limits::k_supply_off * std::abs(r.nominal_v))
      return fmt::format("{}, rail {}: {:g} V where {:g} V is wanted, more than 10 % off.",
                         check.name, r.name, r.measured_v, r.nominal_v);
  }
  return {};
}

std::string failure_of(const FirstPower& p) {
  if (p.smell_or_heat == Told::yes) return "Smell or heat.";
  for (const PowerPoint& point : p.points)
    if (point.amps >= p.limit_a)
      return fmt::format("The current reached its limit of {:g} A after {:g} s.", p.limit_a,
                         point.at_s);
  return {};
}

}  // namespace verdigrid
