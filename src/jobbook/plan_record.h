// The plan of a board in the job book: one "plan" record below the board, changed in place, so that
// its history and undo are the job book's own; and what the book can tell a plan.
//
// Errors as in job_book.h and plan/plan.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "jobbook/entities.h"
#include "jobbook/job_book.h"
#include "layout/layout.h"
#include "plan/against_estimate.h"
#include "plan/plan.h"

namespace verdigrid {

// Whether the unit's record is no longer as the board's plan will be, and what becomes of it: the
// day on which the battery was taken out follows the tick on that work.
bool follow_battery(const JobBook& book, const std::string& board, Unit& unit, const Plan& after);

// What writes the board's plan, its record first. A unit that was received or surveyed becomes
// planned. Throws Error{wrong_use} for a record that is no board.
std::vector<Edit> plan_edits(const JobBook& book, const std::string& board, const Plan& plan);

// Makes them; `what` says in the history what was changed. Returns the record's id.
std::string keep_plan(JobBook& book, const std::string& board, const Plan& plan,
                      const std::string& what);

// The body of a board's plan record.
nlohmann::json to_body(const Plan& plan);

// What its battery keeps alive is as the unit's record says today.
std::optional<Plan> kept_plan(const JobBook& book, const std::string& board);

// Of the board's type; empty where it has none.
std::optional<Layout> layout_of(const JobBook& book, const std::string& board);

// The newest survey of each side of the board, arrival photos first; with the board type's layout
// where it has one. Throws Error{wrong_use} where nothing was surveyed.
std::vector<SideFacts> surveyed_sides(const JobBook& book, const std::string& board,
                                      double least_confidence = 0);

// What the entry record tells: battery, wetness, tube, mains capacitors, nests. A strip reading
// only where it is a plain number ("9.5", "pH 9.5").
Known known_of(const Unit& unit);

// Minutes logged in all plans of the book, oldest board first.
std::vector<Actual> actuals_of(const JobBook& book);

// The same against the estimates of their plans, with the names of the boards' types.
std::vector<JobAgainst> jobs_against_estimate(const JobBook& book);

// What a queue shows of one unit's plans: figures of all its boards together.
struct PlanFigures {
  double likely_min = 0, allow_min = 0;
  std::optional<double> owner_value;  // sum over the boards that state one
  std::string currency;
};
std::optional<PlanFigures> plan_figures(const JobBook& book, const std::string& unit);

// All open work of all units that are not handed over, by one person: nobody is unlucky everywhere.
// Fewer draws than for a plan: its figures are for a week's load.
Estimate queue_estimate(const JobBook& book, int draws = 2000, const Work& work = {});

}  // namespace verdigrid
