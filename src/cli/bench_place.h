// Where a board's bench log lies: beside its plan, or in the job book; what the commands bench and
// log share.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "cli/plan_place.h"
#include "plan/bench_work.h"

namespace verdigrid {

struct OpenBench {
  std::optional<Plan> plan;  // empty: none was made yet
  BenchLog log;
};

OpenBench opened_bench(const PlanPlace& place);

// Reads, changes and keeps the log, and the plan and the power lock where they follow; gives what
// was kept. `date`: of the change.
OpenBench changed_bench(const PlanPlace& place, const std::string& what,
                        const std::function<OpenBench(const OpenBench&)>& change);

std::string now_text();  // time, UTC
int utc_offset_min();    // of this machine's clock on the wall, now

}  // namespace verdigrid
