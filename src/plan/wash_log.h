// The wash and dry log of a board: how often it was rinsed, whether it is wet, what the weights
// say, and which evidence of the power lock follows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/bench_log.h"
#include "plan/power_lock.h"

namespace verdigrid {

enum class Wetness { not_known, wet, dried };  // not_known: the log says nothing

struct WashState {
  int rinses = 0;  // since the last bath that was none
  Wetness wetness = Wetness::not_known;
  double dried_hours = 0;  // since the last bath
  // Weight after drying against the one before; empty: not both were taken with the same parts on.
  std::optional<double> weight_off_g;
  std::optional<double> limit_g;
  std::string weight_remark;  // a sentence where weights were taken and say no or nothing
};
WashState wash_state(const BenchLog& log);

// "rinsed 2 times, dried 4 h, weight 0.1 g above the one before (limit 0.5 g)"
std::string words(const WashState& state);

// What the newest entry of the log shows the lock: rinses after a rinse; hours after a drying or
// weighing, once long enough and within the weight limit where one was stated. Signed and dated as
// that entry.
std::optional<LockEntry> lock_evidence(const BenchLog& log);

// Why this bath or drying is not for this board now, as a sentence with its source; empty: nothing
// speaks against it. `fitted`: kinds of parts that a layout shows.
std::string refusal_of(const Bath& bath, const Known& known, const std::vector<PartKind>& fitted);
// An alcohol bath of the log that was not let off in open air counts, whatever was told.
std::string refusal_of(const Drying& drying, const Known& known, const BenchLog& log);

// What to take care of with it.
std::vector<Advice> cautions_of(const Bath& bath, const Known& known,
                                const std::vector<PartKind>& fitted);

}  // namespace verdigrid
