// The bench as text: the place that comes up, and the bench log, for the command line and sheets.
#pragma once

#include <cstdint>
#include <string>

#include "plan/bench_work.h"

namespace verdigrid {

// "W3 C12, replace surface-mount electrolytic at B2 (front)".
std::string step_words(const Plan& plan, const BenchStep& step);

// What comes up with part, reason, what speaks against it, cautions, timer; then what is left.
// `now`: time as in the log.
std::string bench_now_words(const Plan& plan, const BenchLog& log, const std::string& now);

// Shift note, clocks, ledger, readings, wash and what happened, oldest first. Times as the clock on
// the wall shows them.
std::string bench_log_words(const BenchLog& log, const std::string& now, int utc_offset_min);

}  // namespace verdigrid
