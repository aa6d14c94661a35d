// Nominal sizes of common packages, each with the standard it comes from, for stamping parts and
// for imports that name a package but give no body.
//
// mm; body seen from above at rotation 0: pin 1 at the left, or at the top of the left row, counted
// counter-clockwise (IPC-7351B, zero component orientation level A). Real parts differ: chips by
// 0.1-0.2 mm, cans by up to 0.5 mm (common practice, no source). May be called from any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "layout/layout.h"

namespace verdigrid {

enum class JointPattern {
  none,
  two_ends,    // one at the left, one at the right, `span_mm` apart
  left_right,  // two rows of pins / 2, `span_mm` between the rows
  four_sides,  // pins / 4 on each side, `span_mm` between opposite rows
  one_row,     // left to right, `pitch_mm` apart
};

struct Package {
  std::string name;  // "0805", "soic-14", "dip-40-600", "radial-10"
  PartKind kind = PartKind::unknown;
  cv::Size2d body_mm;
  BodyShape shape = BodyShape::box;
  JointPattern pattern = JointPattern::none;
  int pins = 0;
  double pitch_mm = 0;  // between neighbours in a row
  double span_mm = 0;   // between rows or ends, joint centre to joint centre
  bool is_through = false;
  NegativeEnd negative_end = NegativeEnd::unknown;
  std::string standard;  // where the sizes come from
};

const std::vector<Package>& package_table();

// By its name in the table; null when it is not there.
const Package* package_named(std::string_view name);

// By a CAD library's footprint name where it is plain: "R_0805_2012Metric", "SOIC-8_3.9x4.9mm",
// "DIP-14_W7.62mm", "CP_Radial_D10.0mm_P5.00mm", "PLCC44". Null when it is not.
const Package* package_like(std::string_view footprint);

// The part that this package is at a place: body, kind, joints and negative end filled in.
// `rotation_deg` may be any angle. Designator, value and rating are left for the caller.
Part part_of(const Package& package, cv::Point2d centre_mm, double rotation_deg, Side side);

}  // namespace verdigrid
