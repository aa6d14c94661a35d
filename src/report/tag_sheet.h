// Pages for the receiving desk: printed tags, and the intake sheet of a unit. PDF, A4; see page.h.
#pragma once

#include <string>
#include <vector>

#include "base/files.h"
#include "jobbook/entities.h"
#include "rectify/tag.h"

namespace verdigrid {

struct TagLabel {
  TagCode code;
  std::string unit_id, unit_name, board_name;
  Side side = Side::front;
};

// Up to ten labels, 90 x 50 mm each, to cut out; at least one (require).
Bytes tag_sheet_pdf(const std::vector<TagLabel>& labels);

// The entry record to fill in by hand: what is known is printed, the rest are lines; battery
// questions come first. `power`: the unit's headline, "LOCKED: ...".
Bytes intake_sheet_pdf(const Unit& unit, const std::string& unit_id,
                       const std::vector<KitItem>& kit, const std::string& power);

}  // namespace verdigrid
