// What a new part must be so that it fits: value, voltage, diameter, height, lead spacing.
//
// mm and volts; 0 where it is not known, and nothing is decided from what is not known. Pure; may
// be called from any thread.
#pragma once

#include <string>

#include "layout/layout.h"
#include "plan/plan.h"

namespace verdigrid {

struct PartSpec {
  PartKind kind = PartKind::unknown;
  std::string value;  // in one spelling, plain_value()
  double volts = 0, diameter_mm = 0, height_mm = 0, spacing_mm = 0;
  bool operator==(const PartSpec&) const = default;
};

// One spelling for a value: "100uF", "100 µF" and "0.1mF" are "100 uF"; what is no plain number
// with a unit of capacitance is only trimmed.
std::string plain_value(const std::string& text);

// From the layout's words (value, rating, package name such as "CP_Radial_D10.0mm_P5.00mm") and,
// where given, the part as it lies there: a round body's diameter, two leads' spacing.
PartSpec spec_of(const ItemPart& part, const Part* in_layout = nullptr);

// "aluminium-radial 100 uF, 16 V, 6.3 mm x 11 mm, leads 2.5 mm apart"
std::string words(const PartSpec& spec);

// What of `wanted` is not known though an order needs it: "voltage, height"; empty: nothing.
std::string missing_words(const PartSpec& wanted);

// Why `have` must not stand in for `wanted`, as a sentence; empty: it fits. A higher voltage and a
// smaller body fit (common practice, no source); other values, kinds and lead spacings do not, nor
// does what is not known.
std::string misfit(const PartSpec& have, const PartSpec& wanted);

}  // namespace verdigrid
