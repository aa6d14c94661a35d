// Where in a job book something goes: what several subcommands share.
#pragma once

#include <filesystem>
#include <string>

#include "jobbook/job_book.h"
#include "measure/survey.h"

namespace verdigrid {

struct JobBookPlace {
  std::filesystem::path book;  // empty: nothing is kept
  std::string unit;            // id
  std::string board;           // name; empty: "board 1"

  void check() const;  // throws Error{wrong_use}: a unit without a job book, or the other way round
};

// `who` signs; empty: the name kept in the settings, else "nobody".
JobBook opened_job_book(const std::filesystem::path& folder, const std::string& who, Open how);

// The unit's board of that name (or id), made when it is new; throws wrong_use when `unit` is no
// unit.
std::string board_named(JobBook& book, const std::string& unit, const std::string& name);

// Keeps the photo file in that role, unless the board has it already; gives its record's id.
std::string keep_photo(JobBook& book, const JobBookPlace& place, const std::filesystem::path& photo,
                       const Survey& survey, const std::string& role);

// Keeps the photo file, unless the board has it already, and its survey; gives the survey's id.
std::string keep_in_job_book(JobBook& book, const JobBookPlace& place,
                             const std::filesystem::path& photo, const Survey& survey);
std::string keep_in_job_book(const JobBookPlace& place, const std::filesystem::path& photo,
                             const Survey& survey);

}  // namespace verdigrid
