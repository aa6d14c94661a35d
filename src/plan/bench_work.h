// Work at the bench, one place at a time over the plan's items: what comes next, what its timer
// says, and what Next, Done and Problem do.
//
// A place is an item of the plan, or one part of an item that is worked on part by part. Timers are
// computed from the log. Every change gives a new log (and plan); wrong_use with a sentence where
// it makes no sense, with nothing changed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/bench_log.h"
#include "plan/operation.h"

namespace verdigrid {

struct Layout;

// A timer that ran on longer without a step was forgotten: its minutes are not logged by itself.
inline constexpr double k_longest_stretch_min = 240;  // common practice, no source

struct BenchStep {
  BenchPlace place;
  std::string problem;  // the word, where there is one
  // Of its item; `fit` where the old part came off and the new one waits until the board is washed,
  // dried, repaired and checked.
  Stage stage = Stage::look;
  bool operator==(const BenchStep&) const = default;
};

// What is left, in the trade's order; places with a problem come last. Offered items are no work.
std::vector<BenchStep> bench_steps(const Plan& plan, const BenchLog& log);

struct BenchTimer {
  double minutes = 0;  // hands-on, until now
  bool is_running = false;
  bool is_doubtful = false;  // a stretch was longer than k_longest_stretch_min
};

struct BenchNow {
  std::optional<BenchStep> step;  // empty: nothing is left
  BenchTimer timer;               // of this place
  size_t left = 0;                // places, this one too
};
// `now`: time as in the log.
BenchNow bench_now(const Plan& plan, const BenchLog& log, const std::string& now);

// Of all places of the item.
BenchTimer timer_of(const BenchLog& log, const std::string& item, const std::string& now);

struct BenchSign {
  std::string who, at;
};

struct BenchChange {
  Plan plan;
  BenchLog log;
  std::string remark;  // to be said; may be empty
};

// Starts the timer of the place that comes up: the first time where it stands, later the next one.
BenchLog with_next(const Plan& plan, const BenchLog& log, const BenchSign& sign);
// Goes to this place, which must be left.
BenchLog with_place(const Plan& plan, const BenchLog& log, const BenchPlace& place,
                    const BenchSign& sign);
// Stops the timer, or lets it go on.
BenchLog with_pause(const Plan& plan, const BenchLog& log, const BenchSign& sign);

// This place is done; the item is ticked off with its minutes when it was the last of them, what
// the work does to the ledger is logged, and the next place starts. `minutes`: in place of the
// timer of this place. Refused while block_of says why not.
BenchChange with_done(const Plan& plan, const BenchLog& log, const BenchSign& sign,
                      std::optional<double> minutes = {});

// Leaves the place open with a word, goes to the next one.
BenchLog with_problem(const Plan& plan, const BenchLog& log, const std::string& word,
                      const BenchSign& sign);

// What an earlier stage still has open, as a sentence; empty when the order is kept. A replacement
// whose old part is off is earlier work no more: it waits for its new part to be fitted.
std::string order_remark(const Plan& plan, const BenchLog& log, const std::string& id);

// "C12, 100 uF, 16 V": the part of the place as the plan knows it; empty for a whole item.
std::string part_words(const Plan& plan, const BenchPlace& place);

// "layout: negative end left" or "layout: turned 90°", and what was read of the polarity.
std::string orientation_words(const Layout* layout, const BenchLog& log,
                              const std::string& designator);

}  // namespace verdigrid
