// A board type: notes, traps, test list, layout and good pictures for every board of one kind, and
// what the job book has learned about where it leaks.
//
// Learned figures count units, so a board surveyed ten times counts once (its newest arrival
// survey). They are a place to look first and never change a measurement. A board-type sheet
// (format "verdigrid-board-type") carries no owner data; importing the same sheet twice changes
// nothing, and figures from another job book stand beside our own under that book's origin.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "jobbook/job_book.h"

namespace verdigrid {

struct BoardType {
  std::string name, revision, note;
  std::vector<std::string> traps;          // what surprised someone
  std::vector<std::string> tests;          // test list after first power
  nlohmann::json layout;                   // a *.layout.json document, or null
  std::vector<std::string> good_pictures;  // SHA-256 of stored files
};

nlohmann::json to_body(const BoardType& type);
BoardType board_type_from(const nlohmann::json& body);

// Where residue was found in units of this type.
struct Learned {
  std::string place;  // zone, square or designator
  bool is_part = false;
  int units_found = 0;      // with residue there
  int units_seen = 0;       // surveyed at all
  double mean_percent = 0;  // of the zone, over the units with residue there; 0 for parts
};

// Our own and imported figures together, most often affected first.
std::vector<Learned> learned_of(const JobBook& book, const std::string& board_type);

std::string board_type_sheet(const JobBook& book, const std::string& board_type);  // JSON text
std::string import_board_type(JobBook& book, std::string_view sheet,
                              const std::string& where);  // returns the record's id

}  // namespace verdigrid
