// The timers of places at the bench, computed from the log alone: a restart changes nothing.
#pragma once

#include <string>

#include "plan/bench_work.h"

namespace verdigrid {

const WorkStep* last_step(const BenchLog& log);  // null: none

// Of one place; of all places of an item is in bench_work.h. `now`: time as in the log.
BenchTimer timer_of(const BenchLog& log, const BenchPlace& place, const std::string& now);

}  // namespace verdigrid
