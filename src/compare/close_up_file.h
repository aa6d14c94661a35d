// A placed close-up with what it makes of its side's findings: a value, and as close-up.json
// (assets/schema/close-up.schema.json).
//
// Never edited; lies beside the two surveys. Throws Error{bad_input} naming the field, or
// Error{storage} for a newer version.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "compare/close_up_findings.h"
#include "compare/comparison.h"

namespace verdigrid {

// Version 1 had no scale_range.
inline constexpr int k_close_up_version = 2;

struct PlacedCloseUp {
  std::string program_version;
  ComparedPhoto photo, close_up;
  CloseUpPlace place;
  bool has_mm = false;  // areas are mm2, else board px2
  std::vector<FinerFinding> findings;
  std::vector<std::string> remarks;
};

// `close_up` was surveyed with close_up_rectification(place, photo.survey.rectification).
PlacedCloseUp close_up_of(const SurveyedPhoto& photo, const SurveyedPhoto& close_up,
                          const CloseUpAnswer& answer);

std::string close_up_json(const PlacedCloseUp& close_up);
PlacedCloseUp close_up_from_json(std::string_view text, const std::string& where);

}  // namespace verdigrid
