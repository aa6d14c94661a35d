#include <fmt/format.h>

#include <algorithm>

#include "plan/make_plan.h"

namespace verdigrid {

namespace {

// Common practice, no source: all of these.
constexpr double k_neighbour_mm = 15;  // centre to centre
constexpr int k_small_chip_joints = 16;
constexpr int k_pins_when_unknown = 20;

bool is_can(PartKind k) {
  return k == PartKind::aluminium_smd || k == PartKind::aluminium_radial ||
         k == PartKind::aluminium_axial;
}

Operation replacing(PartKind k) {
  return k == PartKind::aluminium_smd ? Operation::replace_smd_can : Operation::replace_leaded_can;
}

const char* reach_words(const PartFact& p) {
  if (p.is_likely_source) return "likely source of a leak";
  return p.reach == Reach::touched ? "residue touches it" : "residue within creeping distance";
}

ItemPart item_part(const PartFact& p) {
  return {p.designator, p.kind, p.value, p.rating, p.package, p.revision};
}

}  // namespace

bool PlanMaker::is_taken(const std::string& designator) const {
  return std::any_of(plan_.items.begin(), plan_.items.end(), [&](const WorkItem& w) {
    return w.stage == Stage::take_off &&
           std::any_of(w.parts.begin(), w.parts.end(),
                       [&](const ItemPart& p) { return p.designator == designator; });
  });
}

// The area of the first of its findings; empty where none is listed.
std::string PlanMaker::area_of(const PartFact& part) const {
  for (const int id : part.findings)
    for (const WorkArea& a : side_.areas)
      if (std::find(a.findings.begin(), a.findings.end(), id) != a.findings.end()) return a.name;
  return {};
}

// Parts of one place that are worked on alike make one item: tools change once.
void PlanMaker::add_to_batch(const PartFact& part, Operation operation, double quantity,
                             bool optional, const std::string& reason) {
  const std::string place = optional ? std::string() : area_of(part);
  const bool damaged = part.is_corroded;
  for (WorkItem& w : plan_.items)
    if (w.operation == operation && w.place == place && w.side == side_.side &&
        w.damaged == damaged && w.optional == optional && w.reason == reason && !w.parts.empty()) {
      w.parts.push_back(item_part(part));
      w.quantity += quantity;
      return;
    }
  WorkItem w = item(operation, place, quantity);
  w.parts = {item_part(part)};
  w.damaged = damaged;
  w.optional = optional;
  w.reason = reason;
  add(std::move(w));
}

void PlanMaker::add_part(const PartFact& p) {
  if (is_can(p.kind)) {
    add_to_batch(p, replacing(p.kind), 1, false, reach_words(p));
    return;
  }
  if (p.kind == PartKind::battery) {
    add_to_batch(p, Operation::remove_battery, 1, false, reach_words(p));
    return;
  }
  const bool is_pins = p.kind == PartKind::socket || (p.kind == PartKind::ic && p.is_through);
  if (is_pins) {
    const int pins = p.joints > 0 ? p.joints : k_pins_when_unknown;
    add_to_batch(p, Operation::lift_socket, pins, false,
                 p.joints > 0 ? "residue hides beneath"
                              : fmt::format("residue hides beneath; pins not known: {} counted",
                                            k_pins_when_unknown));
    return;
  }
  if (p.kind == PartKind::ic) {
    add_to_batch(
        p, p.joints > k_small_chip_joints ? Operation::lift_large_chip : Operation::lift_small_chip,
        1, false, "residue hides beneath");
    return;
  }
  add_to_batch(p, Operation::look_beneath, 1, false, reach_words(p));
}

void PlanMaker::add_parts() {
  for (const PartFact& p : side_.parts)
    if ((p.reach != Reach::none || p.is_likely_source) && p.kind != PartKind::hole &&
        p.kind != PartKind::mark && !is_taken(p.designator))
      add_part(p);
  offer_neighbours();
  offer_series();
}

void PlanMaker::offer_neighbours() {
  std::vector<PartFact> near;
  for (const PartFact& p : side_.parts) {
    if (!is_can(p.kind) || !p.centre || is_taken(p.designator)) continue;
    for (const PartFact& leaked : side_.parts)
      if (leaked.is_likely_source && is_can(leaked.kind) && leaked.centre &&
          cv::norm(*leaked.centre - *p.centre) <= k_neighbour_mm) {
        near.push_back(p);
        break;
      }
  }
  for (const PartFact& p : near)
    add_to_batch(p, replacing(p.kind), 1, true,
                 fmt::format("neighbours of a likely source, within {:g} mm", k_neighbour_mm));
}

// Cans of the same kind, value and package as one that is replaced.
void PlanMaker::offer_series() {
  std::vector<PartFact> same;
  for (const PartFact& p : side_.parts) {
    if (!is_can(p.kind) || is_taken(p.designator)) continue;
    for (const PartFact& reached : side_.parts)
      if ((reached.reach != Reach::none || reached.is_likely_source) && reached.kind == p.kind &&
          reached.value == p.value && reached.package == p.package) {
        same.push_back(p);
        break;
      }
  }
  for (const PartFact& p : same)
    add_to_batch(p, replacing(p.kind), 1, true, "same series as a reached one");
}

void PlanMaker::add_side() {
  const bool is_surveyed_both = plan_.sides.size() > 1;
  if (!side_.other_side_squares.empty() || !is_surveyed_both) {
    WorkItem w = item(is_surveyed_both ? Operation::look_beneath : Operation::photograph, "", 1);
    w.side = side_.side == Side::front ? Side::back : Side::front;
    w.what = is_surveyed_both ? "look at the other side of holes under residue"
                              : "photograph and survey the other side";
    w.reason =
        side_.other_side_squares.empty()
            ? "nothing is known of that side"
            : fmt::format("residue lies on holes at {}", fmt::join(side_.other_side_squares, ", "));
    add(std::move(w));
  }
  if (side_.findings.empty()) return;
  WorkItem w = item(Operation::photograph, "", 1);
  w.stage = Stage::photograph_again;
  w.what = "photograph this side again after the wash, as before, and compare";
  w.reason = "the only proof of what the wash changed";
  add(std::move(w));
}

}  // namespace verdigrid
