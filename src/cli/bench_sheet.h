// The bench pages of a unit's board, from its plan, bench log and arrival photos in the job book.
#pragma once

#include "base/files.h"
#include "cli/plan_place.h"

namespace verdigrid {

// Throws wrong_use without a job book or a plan.
Bytes bench_pages_of(const PlanPlace& place, const std::string& date);

}  // namespace verdigrid
