// Where a board's power lock lies: beside its plan, or in the job book.
#pragma once

#include <functional>
#include <string>

#include "cli/plan_place.h"
#include "plan/power_lock.h"

namespace verdigrid {

// With the facts of the plan as it is now. Throws Error{wrong_use} where a file has neither plan
// nor lock.
PowerLock opened_lock(const PlanPlace& place, const std::string& date);

// Reads, changes and keeps the lock; gives what was kept.
PowerLock changed_lock(const PlanPlace& place, const std::string& what, const std::string& date,
                       const std::function<PowerLock(const PowerLock&)>& change);

// The same beside a survey folder, for who has a FolderHold there already.
PowerLock changed_lock_beside(const PlanPlace& place, const std::string& date,
                              const std::function<PowerLock(const PowerLock&)>& change);

}  // namespace verdigrid
