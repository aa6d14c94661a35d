// The work sheet: an A4 page for the bench with a drawing of the board, its grid, zones, parts and
// what was flagged, and below it the work items in order with a box to tick and their place in big
// letters. A side with a long list goes on over the next page; work that is only offered is not on
// it.
//
// Each side is drawn as it reads when that side lies up. May be called from any thread. Cost: 0.1
// s.
#pragma once

#include <string>
#include <vector>

#include "base/files.h"
#include "layout/layout.h"
#include "measure/survey.h"
#include "plan/plan.h"

namespace verdigrid {

struct SheetSide {
  const Survey& survey;            // the one that the plan was made from
  const Layout* layout = nullptr;  // in the survey's board frame; null: grid and findings only
};

// `power_headline` opens the sheet ("LOCKED: 7 of 12 conditions are open"). `sides` must not be
// empty (require). Throws Error{no_result} when the PDF library refuses.
Bytes work_sheet_pdf(const Plan& plan, const std::vector<SheetSide>& sides,
                     const std::string& power_headline);

}  // namespace verdigrid
