// The bench pages: the places of a plan one after the other, in large letters, with a crop of the
// arrival photo, the part, which way it came, what speaks against the work, and boxes to tick.
//
// For the bench while hands are full: two places to an A4 page. May be called from any thread.
// Cost: 20 ms a place.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "base/files.h"
#include "measure/survey.h"
#include "photo/photo.h"
#include "plan/bench_work.h"

namespace verdigrid {

// One side as it arrived.
struct BenchPageSide {
  std::shared_ptr<const Photo> photo;
  std::shared_ptr<const Survey> survey;  // of that photo (require: same size)
  std::shared_ptr<const Layout> layout;  // as it lies on it; null: none
};

struct BenchPageFacts {
  std::string unit, board, power;  // names; headline of the power lock
  std::string note;                // shift note; may be empty
};

// `sides`: those that were photographed. A place of another side, or of none, has no crop.
Bytes bench_pages_pdf(const Plan& plan, const BenchLog& log,
                      const std::map<Side, BenchPageSide>& sides, const BenchPageFacts& facts);

}  // namespace verdigrid
