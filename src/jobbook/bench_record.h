// The bench log of a board in the job book: one "bench-log" record below the board, changed in
// place, so that history and undo are the job book's own; and what the book knows from all of them.
//
// Errors as in job_book.h and plan/bench_log.h.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "plan/bench_log.h"
#include "plan/clocks.h"

namespace verdigrid {

// One without entries where none is kept yet.
BenchLog bench_log_of(const JobBook& book, const std::string& board);

// What a change at the bench writes as one step: the log; the plan where it changed with it; the
// power lock with its evidence and the facts that follow; and the unit, which is "at the bench"
// with the first work and "washed" with the first bath.
struct BenchKeep {
  BenchLog log;
  std::optional<Plan> plan;
};
std::vector<Edit> bench_edits(const JobBook& book, const std::string& board, const BenchKeep& keep);

// A change of the log as it stands at that moment, also where another program adds to it at the
// same time; a log that stays as it was is not kept.
using BenchUpdate = std::function<BenchKeep(const std::optional<Plan>& plan, const BenchLog& log)>;
std::vector<Edit> bench_edits_by(const JobBook& book, const std::string& board,
                                 const BenchUpdate& change);
void change_bench(JobBook& book, const std::string& board, const std::string& what,
                  const BenchUpdate& change);

// A clock that runs, and where.
struct BoardClock {
  std::string unit, board;            // ids
  std::string unit_name, board_name;  // in words
  RunningClock clock;
};
// Of the whole job book, the earliest due first.
std::vector<BoardClock> running_clocks(const JobBook& book);

// Shift notes that stand, of the whole job book, the newest first.
struct BoardNote {
  std::string unit, board;
  std::string unit_name, board_name;
  std::string text, who, at;
};
std::vector<BoardNote> shift_notes(const JobBook& book);

}  // namespace verdigrid
