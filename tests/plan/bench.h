// Bench logs for tests: entries by the minute after eight in the morning.
#pragma once

#include "base/calendar.h"
#include "plan/bench_log.h"

namespace verdigrid {

inline std::string minute(int minutes) {
  return time_text(seconds_of("2026-03-01T08:00:00Z") + 60 * minutes);
}

inline BenchLog logged(const std::vector<std::pair<int, BenchEvent>>& events) {
  BenchLog log{"board 1", {}};
  for (const auto& [at, event] : events) log = with_entry(log, {"Ada", minute(at), event});
  return log;
}

}  // namespace verdigrid
