// The plan and the power lock of a board as sections of a report: "plan", "lock" and, where there
// are any, "tests".
//
// The owner version of the plan has figures, grade and reasons; the bench version also items, parts
// to order and what is refused. The lock's headline opens its section in both.
#pragma once

#include <optional>
#include <string>

#include "plan/plan.h"
#include "plan/power_lock.h"
#include "report/survey_report.h"

namespace verdigrid {

Section plan_section(const Plan& plan, ReportVersion version, const std::string& prefix);

// `date`: of the report, "YYYY-MM-DD"; the state is that of this day.
Section lock_section(const PowerLock& lock, const std::string& date, ReportVersion version,
                     const std::string& prefix);

// First power and tests of the lock's log; empty when there are none.
std::optional<Section> tests_section(const PowerLock& lock, const std::string& prefix);

}  // namespace verdigrid
