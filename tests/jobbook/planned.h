// The plan of the invented board with a photo that a throw-away job book really holds.
#pragma once

#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"

namespace verdigrid {

inline Plan planned(JobBook& book, const Known& known = {}) {
  Plan plan = leaked_plan(known);
  for (PlanSide& s : plan.sides) s.photo_sha256 = book.add_file(bytes_of("a photo"));
  return plan;
}

}  // namespace verdigrid
