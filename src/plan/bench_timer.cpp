#include "plan/bench_timer.h"

#include <algorithm>

#include "base/calendar.h"

namespace verdigrid {

namespace {

struct PlaceMinutes {
  BenchPlace place;
  double minutes = 0;
  bool is_doubtful = false;
};

PlaceMinutes& entry_of(std::vector<PlaceMinutes>& all, const BenchPlace& place) {
  for (PlaceMinutes& p : all)
    if (p.place == place) return p;
  return all.emplace_back(PlaceMinutes{place});
}

// Hands-on minutes of every place; a stretch ends with the next step of any kind, or now.
std::vector<PlaceMinutes> place_minutes(const BenchLog& log, const std::string& now) {
  std::vector<PlaceMinutes> all;
  const WorkStep* running = nullptr;
  std::int64_t since = 0;
  const auto stop_at = [&](std::int64_t at) {
    if (!running) return;
    const double stretch = std::max(0.0, static_cast<double>(at - since) / 60);
    PlaceMinutes& p = entry_of(all, running->place);
    p.minutes += stretch;
    p.is_doubtful |= stretch > k_longest_stretch_min;
    running = nullptr;
  };
  for (const BenchEntry& e : log.entries) {
    const auto* step = std::get_if<WorkStep>(&e.event);
    if (!step) continue;
    stop_at(seconds_of(e.at));
    if (step->kind == StepKind::start) running = step, since = seconds_of(e.at);
    if (step->minutes) entry_of(all, step->place) = {step->place, *step->minutes, false};
  }
  stop_at(seconds_of(now));
  return all;
}

template <class Counts>
BenchTimer timed(const BenchLog& log, const std::string& now, Counts counts) {
  BenchTimer timer;
  for (const PlaceMinutes& p : place_minutes(log, now)) {
    if (!counts(p.place)) continue;
    timer.minutes += p.minutes;
    timer.is_doubtful |= p.is_doubtful;
  }
  const WorkStep* last = last_step(log);
  timer.is_running = last && last->kind == StepKind::start && counts(last->place);
  return timer;
}

}  // namespace

const WorkStep* last_step(const BenchLog& log) {
  const WorkStep* last = nullptr;
  for (const BenchEntry& e : log.entries)
    if (const auto* step = std::get_if<WorkStep>(&e.event)) last = step;
  return last;
}

BenchTimer timer_of(const BenchLog& log, const BenchPlace& place, const std::string& now) {
  return timed(log, now, [&place](const BenchPlace& p) { return p == place; });
}

BenchTimer timer_of(const BenchLog& log, const std::string& item, const std::string& now) {
  return timed(log, now, [&item](const BenchPlace& p) { return p.item == item; });
}

}  // namespace verdigrid
