// One side of an invented board for tests of plans: four square areas, a can that leaked, chips.
#pragma once

#include "base/error.h"
#include "plan/plan.h"

namespace verdigrid {

inline FindingFact finding(int id, Residue residue, const std::string& square,
                           double area_mm2 = 20) {
  return {id, residue, 1.0, area_mm2, 6, {square}};
}

inline PartFact part(const std::string& designator, PartKind kind, Reach reach,
                     std::vector<int> findings = {}) {
  PartFact p;
  p.designator = designator;
  p.kind = kind;
  p.reach = reach;
  p.findings = std::move(findings);
  return p;
}

inline SideFacts side_of(std::vector<FindingFact> findings, std::vector<PartFact> parts = {}) {
  SideFacts s;
  s.photo = "front.jpg";
  s.photo_sha256 = std::string(64, 'a');
  s.detector = "drawn 1";
  s.has_mm = true;
  s.has_layout = !parts.empty();
  s.unseen_percent = 38;
  s.severity = Severity::surface;
  s.findings = std::move(findings);
  s.parts = std::move(parts);
  for (const FindingFact& f : s.findings) {
    bool is_known = false;
    for (WorkArea& a : s.areas)
      if (a.name == f.squares.front()) a.findings.push_back(f.id), is_known = true;
    if (!is_known) s.areas.push_back({f.squares.front(), f.squares, {f.id}});
  }
  return s;
}

// Leak film and attacked joints at B2 round C1, verdigris and eaten copper at D4, a chip reached.
inline SideFacts leaked_side() {
  std::vector<PartFact> parts{
      part("C1", PartKind::aluminium_smd, Reach::touched, {1, 2}),
      part("C2", PartKind::aluminium_smd, Reach::near, {1}),
      part("C3", PartKind::aluminium_smd, Reach::none),
      part("C9", PartKind::aluminium_radial, Reach::none),
      part("U1", PartKind::ic, Reach::touched, {3}),
      part("U2", PartKind::ic, Reach::none),
      part("J1", PartKind::connector, Reach::near, {3}),
  };
  parts[0].is_likely_source = true;
  parts[0].is_corroded = true;
  parts[0].joints = parts[0].joints_reached = 2;
  parts[4].joints = 44;
  parts[4].joints_reached = 5;
  return side_of(
      {finding(1, Residue::leak_film, "B2", 80), finding(2, Residue::attacked_joint, "B2", 2),
       finding(3, Residue::copper_salt, "D4", 30), finding(4, Residue::eaten_copper, "D4", 4)},
      parts);
}

inline Plan leaked_plan(const Known& known = {}) {
  return plan_of("board 1", {leaked_side()}, known, starting_rates());
}

inline const WorkItem& item_with(const Plan& plan, Operation operation,
                                 const std::string& place = {}) {
  for (const WorkItem& w : plan.items)
    if (w.operation == operation && (place.empty() || w.place == place)) return w;
  throw Error(ErrorKind::internal, std::string("no item ") + name(operation) + " at " + place);
}

// A nickel battery, and a strip that reads as one.
inline Known agreed() {
  Known k;
  k.leak_from = LeakSource::battery;
  k.battery = BatteryKind::nickel;
  k.strips = {{"", 11.5, false, ""}};
  return k;
}

}  // namespace verdigrid
