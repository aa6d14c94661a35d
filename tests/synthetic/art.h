// The artwork of a board type: traces with 45 degree bends, vias, pours, printing, holes. Follows
// from the type seed and the places of the parts alone. Board frame, mm.
#pragma once

#include <string>
#include <vector>

#include "synthetic/board.h"

namespace verdigrid::synthetic {

struct Trace {
  std::vector<cv::Point2d> path_mm;
  double width_mm = 0.3;
  Side side = Side::front;
};

struct Via {
  cv::Point2d centre_mm;
  double pad_mm = 1.0, drill_mm = 0.5;
  bool is_tented = false;  // solder mask runs over it
};

struct Lettering {
  std::string text;
  cv::Point2d centre_mm;
  double height_mm = 1.2;
  double rotation_deg = 0;
  Side side = Side::front;
};

struct PrintedLine {
  std::vector<cv::Point2d> path_mm;
  bool is_closed = false;
  double width_mm = 0.2;
  Side side = Side::front;
};

struct Finger {  // contact of an edge connector, both sides
  cv::Rect2d box_mm;
};

struct Art {
  std::vector<Trace> traces;
  std::vector<Via> vias;
  std::vector<Lettering> letterings;
  std::vector<PrintedLine> lines;
  std::vector<Finger> fingers;
  std::vector<RoundHole> holes;
  bool has_pour_front = false, has_pour_back = false;
};

Art art_of(const BoardSpec& spec);

// Printing alone (used by art_of).
void add_printing(const BoardSpec& spec, Art& art);

}  // namespace verdigrid::synthetic
