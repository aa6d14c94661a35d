// The power lock of a board in the job book: one "power-lock" record below the board, changed in
// place (the lock's own log and the job book's history both keep what happened), and the checks of
// supplies, which are units with records of their own.
//
// Dates are "YYYY-MM-DD". Errors as in job_book.h and plan/power_lock.h.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "plan/power_lock.h"

namespace verdigrid {

// The board's lock with the facts of its plan and bench log of today; one without a log where none
// is kept yet. `who` signs the new finding that more findings than before are.
PowerLock lock_of(const JobBook& book, const std::string& board, const std::string& who,
                  const std::string& date);

// The same with a plan and a bench log that are about to be kept.
PowerLock lock_with(const JobBook& book, const std::string& board, const std::optional<Plan>& plan,
                    const BenchLog& log, const std::string& who, const std::string& date);

// Writes the lock; the unit becomes "cleared for test", after a passed test "tested", and goes back
// to "rechecked" when it locks again. Returns the record's id.
std::string keep_lock(JobBook& book, const std::string& board, const PowerLock& lock,
                      const std::string& what, const std::string& date);

// The edits that keep_lock makes, for who keeps his own history of them.
std::vector<Edit> lock_edits(const JobBook& book, const std::string& board, const PowerLock& lock,
                             const std::string& date);

// "LOCKED: 7 of 12 conditions are open" or "CLEARED FOR TEST with supply NAME": for every screen,
// sheet and report of the board.
std::string power_headline(const JobBook& book, const std::string& board, const std::string& date);

// The same for a unit: the worst of its boards. "LOCKED: no board was looked at" without one.
std::string unit_power_headline(const JobBook& book, const std::string& unit,
                                const std::string& date);

// The same for every unit that has a board, by the unit's id, in one pass over the job book.
std::map<std::string, std::string> unit_power_headlines(const JobBook& book,
                                                        const std::string& date);
inline constexpr const char* k_no_board_headline = "LOCKED: no board was looked at";

struct SupplyRecord {
  SupplyCheck check;
  std::string who, on;
};

// A check of a supply, below its unit; older ones stay. The unit must be a supply (wrong_use).
std::string keep_supply_check(JobBook& book, const std::string& unit, const SupplyRecord& record);
std::vector<SupplyRecord> supply_checks(const JobBook& book,
                                        const std::string& unit);  // oldest first

// Test list of the board's type; empty where it has none.
std::vector<std::string> test_list(const JobBook& book, const std::string& board);

}  // namespace verdigrid
