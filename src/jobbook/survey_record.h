// A survey kept in the job book below its photo: the files of survey_file.h by SHA-256, and what it
// found where, for search and learning.
//
// Both results stay when a photo is surveyed again with another model. Errors as in job_book.h and
// survey_file.h.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/side.h"
#include "jobbook/job_book.h"
#include "measure/survey.h"
#include "measure/survey_file.h"

namespace verdigrid {

// What a survey found in one square or zone, of one class.
struct Found {
  std::string zone;
  std::string residue;             // class name
  std::vector<std::string> parts;  // designators reached
  double percent = 0;              // of the zone
  std::optional<double> area_mm2;
};

// What is known of one side of a board from its newest survey.
struct SideSeen {
  Side side = Side::front;
  bool is_photographed = false;
  std::optional<double> unseen_percent, affected_percent;  // empty: not surveyed yet
};

// Front and back. Every side counts that is not photographed: nobody has looked at it.
std::array<SideSeen, 2> sides_seen(const JobBook& book, const std::string& board);

struct KeptSide {
  Side side = Side::front;
  std::string photo, survey;  // record ids
};

// The newest survey of a side: of any photo that shows the side, never of a close-up.
std::optional<KeptSide> newest_survey(const JobBook& book, const std::string& board, Side side);

// The same of each side that was surveyed, of an arrival photo where there is one.
std::vector<KeptSide> surveys_on_arrival(const JobBook& book, const std::string& board);

// Returns the record's id; a survey that is kept already, to the byte, is not kept twice.
std::string keep_survey(JobBook& book, const std::string& photo, const Survey& survey);
// The same with its survey_files(), without pictures for people: making them takes time.
std::string keep_survey(JobBook& book, const std::string& photo, const Survey& survey,
                        const SurveyFiles& files);
Survey kept_survey(const JobBook& book, const std::string& survey);
std::vector<Found> found_from(const nlohmann::json& survey_body);

}  // namespace verdigrid
