// The likely source in a finding's own words.
#pragma once

#include <vector>

#include "detect/findings.h"
#include "measure/likely_source.h"

namespace verdigrid {

// Adds the nearest candidate of each finding to its reason: "...; C7 may be the source: 2.1 mm from
// the negative end of a part that may leak". `sources` are those of the same findings.
void name_nearest_source(Findings& findings, const std::vector<LikelySource>& sources);

}  // namespace verdigrid
