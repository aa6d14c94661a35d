// What the papers for an owner share: the unit's head, and work items in lines that an owner reads.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "jobbook/entities.h"
#include "plan/plan.h"
#include "report/document.h"
#include "report/unit_report.h"

namespace verdigrid {

Section head_section(const std::string& id, const Unit& u, OwnerName owner);

// The same work in several places is one line: an owner reads what was done, not each swab.
// `included`: which items; `after` them what is said of each.
std::vector<std::string> item_lines(const std::string& board, const Plan& plan,
                                    const std::function<bool(const WorkItem&)>& included,
                                    const std::function<std::string(const WorkItem&)>& after);

}  // namespace verdigrid
