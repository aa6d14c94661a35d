// Clocks at the bench: "weak acid on B3 since 14:05, rinse now". Whether one alarms is a function
// of the log and the time now, so a restart changes nothing.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "plan/bench_log.h"

namespace verdigrid {

struct RunningClock {
  ClockStart clock;
  std::int64_t since_s = 0, due_s = 0;  // seconds since 1970, UTC
  bool operator==(const RunningClock&) const = default;
};

// Those that nobody has stopped, the earliest due first.
std::vector<RunningClock> running_clocks(const BenchLog& log);

// `now_s`: seconds since 1970.
bool is_due(const RunningClock& clock, std::int64_t now_s);
double left_min(const RunningClock& clock, std::int64_t now_s);  // below 0 once due

// "weak acid on B3 since 14:05, rinse now", "... since 14:05, 3 min left, then rinse"; times as the
// clock on the wall shows them.
std::string words(const RunningClock& clock, std::int64_t now_s, int utc_offset_min);

}  // namespace verdigrid
