// Before and after of one side of a board of the job book, as a section of its unit's report: the
// two photos by their roles (jobbook/side_pair.h) with their newest surveys, compared.
//
// The photo after counts as dry when the bench log says that the board was dried before the day it
// was taken and in no bath on that day. Cost: that of comparison_of(), and of one registration.
#pragma once

#include <optional>
#include <string>

#include "base/side.h"
#include "compare/change_table.h"
#include "jobbook/job_book.h"
#include "plan/bench_log.h"
#include "report/survey_report.h"

namespace verdigrid {

// `board` a record id, `board_name` as people call it. Empty where the side has no photo before or
// none after; where these two were not surveyed or cannot be aligned the section says so. Throws
// Error{storage} for a damaged photo.
std::optional<Section> unit_change_section(const JobBook& book, const std::string& board,
                                           const std::string& board_name, Side side,
                                           ReportVersion version, const std::string& prefix,
                                           const Work& work = {});

// As above; `day` is YYYY-MM-DD.
Dryness dryness_on(const BenchLog& log, const std::string& day);

}  // namespace verdigrid
