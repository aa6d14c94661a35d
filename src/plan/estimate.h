// How long and how much: likely (half of such jobs take less) and allow up to (nine in ten do), per
// item, zone, board and queue.
//
// Monte Carlo with a fixed seed: every item draws from its own stream, and one worker factor
// (lognormal, median 1) multiplies a whole draw, since one person does the work. Where an item is
// one lognormal the closed form is used. Waiting is elapsed time apart from labour: waits of one
// operation run together, so the longest counts once. Pure: same input, same figures.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/work.h"
#include "plan/rate_table.h"

namespace verdigrid {

struct EstimateOptions {
  int draws = 20'000;
  std::uint64_t seed = 1;
  double worker_log_sd = 0.25;
  SpreadKind spread = SpreadKind::p10_p90;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};
EstimateOptions estimate_options(const RateTable& table);

// Hands-on work as the estimate sees it.
struct Task {
  std::string id;     // unique; names its stream
  std::string board;  // several boards make a queue; empty: one board
  std::string zone;   // empty: the whole board
  Operation operation = Operation::other;
  Triple each;           // minutes per piece
  double quantity = 1;   // > 0
  bool by_piece = true;  // whole pieces differ from each other; false: one amount
  std::optional<Triple> set_up;
  double slope = 1;        // learning, pieces only
  double waiting_min = 0;  // elapsed
  double material = 0;     // money: parts and consumables
};

struct Figures {
  double likely_min = 0;   // P50, hands-on
  double allow_min = 0;    // P90
  double mean_min = 0;     // the figure that adds up over many boards
  double waiting_min = 0;  // elapsed, apart
  double material = 0;     // money
  bool operator==(const Figures&) const = default;
};

// Money with labour at this rate.
double likely_cost(const Figures& f, double money_per_hour);
double allow_cost(const Figures& f, double money_per_hour);

struct NamedFigures {
  std::string name;
  Figures figures;
  bool operator==(const NamedFigures&) const = default;
};

struct Estimate {
  std::vector<NamedFigures> items;   // in the tasks' order
  std::vector<NamedFigures> zones;   // by first appearance; "" is the whole board's own work
  std::vector<NamedFigures> boards;  // by first appearance
  Figures total;
  bool operator==(const Estimate&) const = default;
};

// At most 10000 pieces in all tasks together (Error{bad_input}).
Estimate estimate_of(const std::vector<Task>& tasks, const EstimateOptions& options = {},
                     const Work& work = {});

}  // namespace verdigrid
