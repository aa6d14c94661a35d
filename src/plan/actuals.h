// A rate table that learns from logged minutes, per operation and person, with shrinkage: a few
// jobs move a rate a little, many move it to what was measured.
//
// What others took moves the operation; a person's own jobs then move that person's rate away from
// it. Every job is judged against what the table said at the time (ratios), so jobs of any size
// count. After five jobs of one person the spread is learned too.
#pragma once

#include <string>
#include <vector>

#include "plan/lognormal.h"
#include "plan/rate_table.h"

namespace verdigrid {

struct Actual {
  Operation operation = Operation::other;
  bool damaged = false;
  std::string person;
  double minutes = 0;   // taken, > 0
  double quantity = 1;  // pieces, > 0
  std::string on;       // date
  bool operator==(const Actual&) const = default;
};

// What the table's rate says of that many pieces, set-up included; without the worker factor.
Lognormal planned_minutes(const Actual& actual, const Rate& rate);

struct LearningOptions {
  double rate_log_sd = 0.5;     // how far a starting value may be off
  double person_log_sd = 0.25;  // how far people differ: the worker factor
  int jobs_for_spread = 5;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// Rates with actuals get a new triple (low and high for the next job: P10 and P90) and say so in
// `source`; the others stay. `person` empty: somebody who has not been seen yet.
RateTable learned_rates(const RateTable& table, const std::vector<Actual>& actuals,
                        const std::string& person, const LearningOptions& options = {});

// A table that learned_rates gave: learning again from the same jobs would count them twice.
bool has_learned(const RateTable& table);

// One line per operation with actuals: "replace-smd-can, damaged: 10 jobs in 75 min, 7.2 min each
// (table: 7.0 likely)", and the learning slope where at least four jobs show one.
std::vector<std::string> learned_words(const RateTable& table, const std::vector<Actual>& actuals);

}  // namespace verdigrid
