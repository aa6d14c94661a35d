// The bench sheet: one A4 page for the bench with the most suspect places as crops, their square
// names and boxes to tick, what could not be seen, and the cautions.
//
// Made from the survey as it stands (answers taken in). May be called from any thread. Cost: 0.1 s.
#pragma once

#include <string>
#include <vector>

#include "base/files.h"
#include "measure/survey.h"
#include "photo/photo.h"

namespace verdigrid {

struct BenchFacts {
  std::string battery;  // "yes", "no", "don't know"
  std::string power;    // "LOCKED: ..." or "CLEARED FOR TEST with supply NAME"
  std::vector<std::string>
      unseen;  // what nobody has looked at yet: "back", "under chips and sockets"
};

// `survey` must be of `photo` (require: same size). Throws Error{no_result} when the PDF library
// refuses.
Bytes bench_sheet_pdf(const Photo& photo, const Survey& survey, const BenchFacts& facts);

}  // namespace verdigrid
