// What the records of parts hold, for those who read needed parts and those who change them.
#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "base/error.h"
#include "jobbook/job_book.h"

namespace verdigrid {

inline constexpr const char* k_parts = "parts";

// What a body lacks is not known; a body that is no object of this kind is named.
template <class Read>
auto read_body(const Record& record, Read read) {
  try {
    return read(record.body);
  } catch (const nlohmann::json::exception&) {
    throw Error(ErrorKind::bad_input,
                record.id + ": is damaged or was written by hand. Restore the last backup.");
  }
}

// The newest of a board.
std::optional<Record> parts_record(const JobBook& book, const std::string& board);

// The entries of a board by designator, as they stand in the body.
std::map<std::string, nlohmann::json> part_entries(const JobBook& book, const std::string& board);

}  // namespace verdigrid
