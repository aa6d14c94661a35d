// The unit that somebody named, or a sentence that the id is no unit's.
#pragma once

#include <string>

#include "jobbook/entities.h"
#include "jobbook/job_book.h"

namespace verdigrid {

// Throw Error{wrong_use} when the record is no unit; else as JobBook::get and unit_from.
Record unit_record(const JobBook& book, const std::string& id);
Unit unit_at(const JobBook& book, const std::string& id);

}  // namespace verdigrid
