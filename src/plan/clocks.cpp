#include "plan/clocks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/calendar.h"
#include "plan/plan_words.h"

namespace verdigrid {

std::vector<RunningClock> running_clocks(const BenchLog& log) {
  std::vector<RunningClock> clocks;
  for (const BenchEntry& e : log.entries) {
    if (const auto* start = std::get_if<ClockStart>(&e.event)) {
      const std::int64_t since = seconds_of(e.at);
      clocks.push_back({*start, since, since + std::llround(start->minutes * 60)});
    } else if (const auto* stop = std::get_if<ClockStop>(&e.event)) {
      std::erase_if(clocks, [stop](const RunningClock& c) { return c.clock.id == stop->id; });
    }
  }
  std::stable_sort(clocks.begin(), clocks.end(),
                   [](const RunningClock& a, const RunningClock& b) { return a.due_s < b.due_s; });
  return clocks;
}

bool is_due(const RunningClock& c, std::int64_t now_s) { return now_s >= c.due_s; }

double left_min(const RunningClock& c, std::int64_t now_s) {
  return static_cast<double>(c.due_s - now_s) / 60;
}

std::string words(const RunningClock& c, std::int64_t now_s, int utc_offset_min) {
  const std::string head = fmt::format(
      "{}{} since {}", c.clock.what, c.clock.place.empty() ? std::string() : " on " + c.clock.place,
      wall_clock(c.since_s, utc_offset_min));
  const std::string then = c.clock.then.empty() ? "look at it" : c.clock.then;
  if (is_due(c, now_s)) return fmt::format("{}, {} now", head, then);
  return fmt::format("{}, {} left, then {}", head, minutes_words(std::ceil(left_min(c, now_s))),
                     then);
}

}  // namespace verdigrid
