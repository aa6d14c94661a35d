// Finding records again by any word in them, and by state, residue class, zone and part.
#pragma once

#include <string>
#include <vector>

#include "jobbook/job_book.h"

namespace verdigrid {

// What a record is found by. `residue`, `zone` and `part` come from a survey's "found" list.
struct Words {
  std::string text, state, residue, zone, part;
};
Words words_of(const Record& record);

struct SearchQuery {
  std::string text;  // every word must begin a word of the record; any characters allowed
  std::string state, residue, zone, part;  // whole values; empty: any
  int at_most = 200;
};

struct Hit {
  std::string id, kind;
  std::string unit;     // id, empty when it belongs to none
  std::string excerpt;  // the words round the match, in one line
};

// Best match first. An empty query finds nothing.
std::vector<Hit> search(const JobBook& book, const SearchQuery& query);

}  // namespace verdigrid
