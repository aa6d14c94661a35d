// Residue of one side of a board over its surveys, in the order in which its photos were taken, as
// a section of a report: per zone where a layout was used, per square, and of the whole side.
//
// Every survey measures its own photo; whether a difference is one says the comparison of two
// photos. From the records of the job book; nothing in it is guessed.
#pragma once

#include <optional>
#include <string>

#include "base/side.h"
#include "jobbook/job_book.h"
#include "report/document.h"

namespace verdigrid {

// `board` a record id, `board_name` as people call it. Of each photo the newest survey. Empty with
// fewer than two surveyed photos of the side. Throws as kept_survey.
std::optional<Section> area_time_line(const JobBook& book, const std::string& board,
                                      const std::string& board_name, Side side,
                                      const std::string& prefix = {});

}  // namespace verdigrid
