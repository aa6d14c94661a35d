// One unit as a folder: unit.json (all its records, oldest first) and photos/ by SHA-256, to hand
// over or to move to another job book.
//
// With OwnerData::leave_out the owner's name and contact stay behind, and so do place, serial
// number and maker's notes in the photo files. Import is idempotent: records that are there already
// and equal are left alone; a record of the same id that differs is a conflict and nothing is
// imported. Errors: bad_input naming the field, storage, wrong_use for conflicts.
#pragma once

#include <filesystem>
#include <string>

#include "jobbook/job_book.h"

namespace verdigrid {

enum class OwnerData { leave_out, include };

void export_unit(const JobBook& book, const std::string& unit, const std::filesystem::path& folder,
                 OwnerData owner);

struct ImportedUnit {
  std::string unit;
  int new_records = 0, known_records = 0, files = 0;
};
ImportedUnit import_unit(JobBook& book, const std::filesystem::path& folder);

}  // namespace verdigrid
