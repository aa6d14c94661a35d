// The report of one unit of the job book: the entry record, and the newest survey of every side of
// every board. What was not photographed is said.
//
// Carries no place, serial number or other private data of a photo's file; the owner's name only
// where asked. May be called from any thread that the job book belongs to.
#pragma once

#include <string>

#include "jobbook/job_book.h"
#include "report/survey_report.h"

namespace verdigrid {

enum class OwnerName { leave_out, include };

// Throws wrong_use when `unit` is no unit; Error{storage} for a damaged photo.
ReportDocument unit_report(const JobBook& book, const std::string& unit,
                           const ReportOptions& options, OwnerName owner = OwnerName::leave_out,
                           const Work& work = {});

}  // namespace verdigrid
