// Where a residue may have come from: the parts of the layout that may leak, ranked. Likely, never
// a fact: the look and the distance prove nothing.
//
// Our own rule: each part that may leak gets a weight by what such parts leave behind (a table in
// likely_source.cpp), which halves with every `half_distance` to the residue, measured from its
// negative end where that is known: alkali gathers at the cathode terminal and attacks the seal
// there (Zairyo-to-Kankyo 52(8), 2003, p. 416, abstract).
#pragma once

#include <string>
#include <vector>

#include "detect/findings.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Layout;

struct SourceCandidate {
  std::string designator;
  double distance = 0;  // board units, from its negative end or its body to the residue
  double share = 0;     // of all candidates' weights, 0..1
  std::string reason;   // "2.1 mm from the negative end of a part that may leak"
  bool operator==(const SourceCandidate&) const = default;
};

struct LikelySource {
  int finding = 0;
  std::vector<SourceCandidate> candidates;  // likeliest first; empty: none near
  bool operator==(const LikelySource&) const = default;
};

struct SourceOptions {
  double half_distance_mm = 5;
  double farthest_mm = 60;             // beyond it no part is named
  double farthest_of_diagonal = 0.25;  // the same without a scale; half distance in proportion
  int candidates_at_most = 3;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// One per finding, in their order. `layout` in the board frame of `rectification`.
std::vector<LikelySource> likely_sources(const Findings& findings,
                                         const Rectification& rectification, const Layout& layout,
                                         const SourceOptions& options = {});

}  // namespace verdigrid
