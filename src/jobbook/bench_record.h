// The bench log of a board in the job book: one "bench-log" record below the board, changed in
// place, so that history and undo are the job book's own; and what the book knows from all of them.
//
// Errors as in job_book.h and plan/bench_log.h.
#pragma once

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
void keep_bench(JobBook& book, const std::string& board, const BenchKeep& keep,
                const std::string& what);

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

// Whether the value of a part of this board may stand on an order list: plan/part_reading.h with
// the board's revision and its readings.
OrderValue order_value(const JobBook& book, const std::string& board, const ItemPart& part);

}  // namespace verdigrid
