// Logged minutes against what the rate table said: per operation, person and board type, as rows,
// as CSV without names.
//
// The estimate of a job is that of its plan's own rates for its quantity: likely is the median,
// allow up to the point that one job in ten goes beyond, the worker factor taken in. Minutes that
// an item was given of its own are not looked at. Pure.
#pragma once

#include <string>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

struct JobAgainst {
  Actual actual;
  std::string board_type;  // name; empty: not known
  double likely_min = 0, allow_min = 0;
};

// Every item of the plan that is done with minutes logged.
std::vector<JobAgainst> against_estimate(const Plan& plan, const std::string& board_type = {});

enum class ActualsBy { operation, person, board_type };
inline constexpr ActualsBy k_actuals_by[] = {ActualsBy::operation, ActualsBy::person,
                                             ActualsBy::board_type};
const char* words(ActualsBy by);  // "operation", "person", "board type"

struct ActualsRow {
  std::string name;
  int jobs = 0, within_allow = 0;         // jobs that took no more than allow up to
  double actual_min = 0, likely_min = 0;  // sums
  double ratio = 1;                       // geometric mean of actual / likely
  std::vector<double> ratios;             // of each job, smallest first
};

// Most minutes first.
std::vector<ActualsRow> actuals_rows(const std::vector<JobAgainst>& jobs, ActualsBy by);

// "replace-smd-can: 10 jobs, 75 min for likely 60 min, x 1.20; 8 of 10 within allow up to"
std::string words(const ActualsRow& row);

// One line a job, RFC 4180, without names of people, units or boards: to be given away. `person`:
// only this person's jobs; empty: everyone's.
std::string actuals_csv(const std::vector<JobAgainst>& jobs, const std::string& person = {});

}  // namespace verdigrid
