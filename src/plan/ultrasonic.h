// The ultrasonic bath: "not known: do not" until every kind of the block list is answered absent or
// taken off.
#pragma once

#include <vector>

#include "layout/part_kind.h"
#include "plan/advice.h"
#include "plan/known.h"

namespace verdigrid {

// Where it is known what a bath does to them.
const char* source(BathHarm harm);

// Kinds that a layout's parts show to be fitted; a layout never shows that a kind is absent.
std::vector<BathHarm> bath_harms_of(const std::vector<PartKind>& parts);

// `parts`: of the layout, may be empty. refuses: do not.
Advice ultrasonic_advice(const Known& known, const std::vector<PartKind>& parts);

}  // namespace verdigrid
