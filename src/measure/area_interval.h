// The 95 % interval of a measured area.
//
// Three independent terms. Scale: see measure/scale_error.h. Edge: the border of a patch lies off
// by an error of standard deviation s px along its normal, the same over about c px of border and
// independent beyond; over a border of n pixel sides, whose length is pi / 4 n for borders of all
// directions (Crofton's formula; L. A. Santalo, "Integral Geometry and Geometric Probability",
// 1976, section I.3), the area then has the variance s^2 c pi / 4 n px^2. Labels: see
// measure/label_error.h; lognormal, plus a share of the place that may have been missed, less one
// that may have been flagged wrongly.
//
// True labels whose border is rounded to whole pixels have s = 1 / sqrt(12) px (a uniform error of
// one pixel). How long it stays the same depends on the slant: a straight border at angle t to the
// pixel rows repeats its rounding every 1 / tan t px, over many px along traces. c = 3 px is what
// rendered boards show (tests/bench/coverage: over 158 boards the errors were 1.73 times those for
// c = 1); the default of 0.5 px over 3 px is on the safe side.
#pragma once

#include "base/interval.h"
#include "measure/label_error.h"

namespace verdigrid {

struct AreaErrors {
  double scale_variance = 0;  // area^2 units
  double edge_variance = 0;   // area^2 units
  LabelError label;
  double place_area = 0;  // of the square, zone or board, same unit as the area
};

// area >= 0. value is `area` itself; low >= 0.
Interval area_interval(double area, const AreaErrors& errors);

}  // namespace verdigrid
