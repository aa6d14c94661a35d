// What a survey says that a plan is made from, for one side of a board: findings, parts reached,
// and the places where work is done.
//
// Values in board mm where `has_mm`; without a scale lengths and areas are 0 and not known. Pure.
#pragma once

#include <algorithm>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "measure/survey.h"
#include "plan/net_pairs.h"

namespace verdigrid {

// Classes that mean corroded metal; work there is priced as damaged (visible green needs
// micrometres of copper: Leygraf et al., Corrosion Science 157 (2019) 337-346).
inline constexpr Residue k_corroding[] = {Residue::copper_salt, Residue::attacked_joint,
                                          Residue::eaten_copper};

inline bool is_corroding(Residue r) {
  return std::find(std::begin(k_corroding), std::end(k_corroding), r) != std::end(k_corroding);
}

struct FindingFact {
  int id = 0;
  Residue residue = Residue::unsure;
  double confidence = 1;  // calibrated share 0..1
  double area_mm2 = 0, length_mm = 0;
  std::vector<std::string> squares;
};

struct PartFact {
  std::string designator;
  PartKind kind = PartKind::unknown;
  std::string value, rating, package;  // of the layout; empty: not known
  std::string revision;                // of the layout; empty: it states none
  std::optional<cv::Point2d> centre;   // of the layout
  Reach reach = Reach::none;
  int joints = 0, joints_reached = 0;
  bool is_through = false;   // of the layout: a joint goes through the board
  bool is_corroded = false;  // copper salts, attacked joints or eaten copper at the part itself
  bool is_likely_source = false;
  std::vector<int> findings;
};

// A zone of the layout, or squares that lie together and share findings.
struct WorkArea {
  std::string name;  // "power", "C3", "B2 to D4"
  std::vector<std::string> squares;
  std::vector<int> findings;
};

struct SideFacts {
  std::string photo, photo_sha256, detector;
  Side side = Side::front;
  bool has_mm = false, has_layout = false;
  double unseen_percent = 0;
  Severity severity = Severity::none;
  std::vector<FindingFact> findings;
  std::vector<PartFact> parts;  // that sit on this side or show joints on it
  std::vector<WorkArea> areas;
  std::vector<ReachedPair> pairs;               // of the layout's nets, near findings of any class
  std::vector<std::string> other_side_squares;  // to be looked at on the other side
};

// `layout` adds values, packages, places and joints where it is given: the one of the survey.
// Findings below `least_confidence` are left out.
SideFacts side_facts(const Survey& survey, const Layout* layout = nullptr,
                     double least_confidence = 0);

// Each finding into the smallest zone that lists it, the rest into squares that share a finding, or
// touch along an edge within a block of two by two.
std::vector<WorkArea> work_areas(const ZoneTable& table, const std::vector<FindingFact>& findings);

}  // namespace verdigrid
