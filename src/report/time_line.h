// What happened to a unit, in order: received, photographed, surveyed, worked on, measured, tested,
// as a section of a report. From the records of the job book; nothing in it is guessed.
#pragma once

#include <optional>
#include <string>

#include "jobbook/job_book.h"
#include "report/document.h"

namespace verdigrid {

// Empty when nothing has a date. Throws as JobBook::get.
std::optional<Section> time_line_section(const JobBook& book, const std::string& unit,
                                         const std::string& prefix = {});

}  // namespace verdigrid
