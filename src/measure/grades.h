// Area grades: three published scales for rusted or corroded area in percent, and our own first
// word on severity.
//
// All three scales are made for painted or plated metal; on a circuit board they are a yardstick by
// analogy.
#pragma once

#include <string>

namespace verdigrid {

// ASTM D610-08(2012) Table 1: 10 (<= 0.01 %) ... 0 (> 50 %). Bounds are "greater than ... and up
// to".
int astm_d610_grade(double area_percent);

// ISO 10289:1999 Table 1: 10 (no defects), 9 (<= 0.1 %) ... 0 (> 50 %). Ratings 5 to 0 are from
// memory.
int iso10289_rating(double area_percent);

// ISO 4628-3 prints areas of pictures (0, 0.05, 0.5, 1, 8, 40-50 %), no bounds. Our own rule:
// nearest by geometric midpoints of the printed areas (Ri 5 taken as sqrt(40 x 50)). Returns 0..5.
int iso4628_3_ri(double area_percent);

}  // namespace verdigrid
