// Where a plan or power lock lies: a file beside a survey folder, a file of its own, or the record
// of a unit's board in a job book.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "jobbook/job_book.h"
#include "plan/bench_log.h"
#include "plan/plan.h"

namespace CLI {
class App;
}

namespace verdigrid {

inline constexpr const char* k_plan_ending = ".plan.json";
inline constexpr const char* k_lock_ending = ".lock.json";
inline constexpr const char* k_bench_ending = ".bench.json";

struct PlanPlace {
  std::string target;          // survey folder, file, or unit id with `book`
  std::filesystem::path book;  // empty: files
  std::string board;           // name or id, with `book`; empty: the unit's only board
  std::string who;             // signs; empty: the name kept in the settings, else "nobody"

  bool is_in_book() const { return !book.empty(); }
  std::string signer() const;
};

// TARGET, --jobbook, --board and --who.
void add_plan_place(CLI::App& arguments, PlanPlace& into, bool is_required);

// "board-survey" -> "board-survey.plan.json"; any other .json file stays what it is.
std::filesystem::path file_beside(const PlanPlace& place, const char* ending);

// The board meant by `place`: throws Error{wrong_use} that names the unit's boards where it is not
// clear.
std::string board_of(const JobBook& book, const PlanPlace& place);

std::string today();  // "YYYY-MM-DD", UTC

Plan opened_plan(const PlanPlace& place);
// What was logged at the bench; empty where no log is kept there.
BenchLog bench_log_at(const PlanPlace& place);
// Reads, changes and keeps the plan; gives what was kept.
Plan changed_plan(const PlanPlace& place, const std::string& what,
                  const std::function<Plan(const Plan&)>& change);

}  // namespace verdigrid
