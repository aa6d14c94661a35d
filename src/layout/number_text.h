// Numbers as people and programs write them in tables.
#pragma once

#include <optional>
#include <string_view>

#include "layout/import.h"

namespace verdigrid {

struct Measured {
  double value = 0;
  std::optional<LengthUnit> unit;  // "12.3mm", "484mil", "0.5in", "1\""; degrees have none
};

// The whole text must be one number with at most a unit behind it. A comma is a decimal comma.
// Empty for anything else, and for what is not finite.
std::optional<Measured> measured(std::string_view text);

double in_mm(double value, LengthUnit unit);

}  // namespace verdigrid
