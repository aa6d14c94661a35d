// Which two pins of a net to hold a meter to, so that the copper which residue may have eaten is
// proven from end to end.
//
// A layout knows which joints a net connects, not where its traces run: they are taken to run along
// the shortest tree over the net's joints (R. C. Prim, Bell System Technical Journal 36, 1957,
// 1389-1401). A pair is listed when one of its joints, or the straight line between them, lies near
// residue. A net of many joints is mostly a plane: there each reached joint is paired with the
// nearest one that is not, and lines count for nothing. Pins of one part are no pair, for they may
// be connected inside it; those of connectors and sockets are one. Lengths in mm of the board
// frame. Pure; may be called from any thread.
#pragma once

#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/side.h"
#include "detect/residue.h"

namespace verdigrid {

struct Layout;

struct PinName {
  std::string designator, pin;  // pin may be empty: the layout does not name it
  bool operator==(const PinName&) const = default;
};

struct NetPair {
  std::string net;
  PinName from, to;  // the reached one first
  bool operator==(const NetPair&) const = default;
};

// "net /RESET: U3 pin 5 to R12 pin 1"
std::string words(const NetPair& pair);

// A finding on the board.
struct ResidueShape {
  int id = 0;
  Residue residue = Residue::unsure;
  std::vector<Polygon> regions;
};

struct NetPairOptions {
  double joint_mm = 0.5;  // from the edge of a land to residue: as ReachOptions::creep_mm
  double land_mm = 1.6;   // of a land whose size is not known: as ReachOptions::land_mm
  // Common practice, no source: the others.
  double line_mm = 2;     // from the straight line between two joints: traces do not run straight
  double apart_mm = 1;    // ends that are closer prove no trace
  int plane_joints = 24;  // a net of more joints is taken as a plane
  void check() const;     // throws Error{wrong_use} that names the wrong field
};

struct ReachedPair {
  NetPair pair;
  std::vector<int> findings;  // that lie near it, ascending
  bool at_joint = false;      // one of its joints is reached, not only the line between them
};

// Pairs of the nets that show on `side`: those with a reached joint first, corroding classes before
// others, small nets before large ones. Empty for a layout without nets or without mm.
std::vector<ReachedPair> net_pairs(const Layout& layout, Side side,
                                   const std::vector<ResidueShape>& residue,
                                   const NetPairOptions& options = {});

}  // namespace verdigrid
