// Papers for the owner of a unit: the quote, and the sheet of the hand-over.
//
// Plain words, no statement that anything is without danger; the power headline of each board
// stands on the hand-over sheet. The owner's name only where it is asked for. Throws
// Error{wrong_use} for what is no unit or was not quoted.
#pragma once

#include <string>
#include <vector>

#include "base/work.h"
#include "jobbook/job_book.h"
#include "report/document.h"
#include "report/unit_report.h"

namespace verdigrid {

// The newest quote of the unit, with the work it counts, place by place, and what it does not.
ReportDocument quote_document(const JobBook& book, const std::string& unit,
                              OwnerName owner = OwnerName::leave_out);

// What was done, what was not, what was not tested and what to watch; the days to look again. Of
// the newest hand-over, or as it would be today with `watch` where the unit is not handed over.
ReportDocument hand_over_document(const JobBook& book, const std::string& unit,
                                  const std::vector<std::string>& watch = {},
                                  OwnerName owner = OwnerName::leave_out, const Work& work = {});

}  // namespace verdigrid
