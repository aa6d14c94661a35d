// What a close-up makes of the findings of its side's photo: each finding that it shows, measured
// again at the finer scale, and what only the close-up shows.
//
// The photo's survey stays as it is; this lies beside it. Areas are mm2 where the photo has a
// scale, else board px2. Pure; may be called from any thread.
#pragma once

#include <string>
#include <vector>

#include "base/interval.h"
#include "compare/close_up.h"
#include "measure/survey.h"

namespace verdigrid {

struct FindingOfCloseUp {
  int finding = 0;  // id in the close-up's survey
  bool operator==(const FindingOfCloseUp&) const = default;
};

struct FinerFinding {
  int finding = 0;                        // id in the photo's survey; 0: only the close-up shows it
  Residue residue = Residue::none;        // as the photo's survey has it
  Residue finer_residue = Residue::none;  // by most of the area in the close-up; none: nothing
                                          // flagged there
  double seen_percent = 0;                // of the finding's pixels, those that the close-up shows
  double area = 0;                        // of what it shows of the finding, by the photo's survey
  Interval finer_area;                    // the same place by the close-up's survey
  std::vector<FindingOfCloseUp> close_up_findings;  // by rising id
  cv::Rect box_px;                                  // on the close-up
  std::string square;                               // of the photo's grid; empty outside it
  bool operator==(const FinerFinding&) const = default;
};

// Findings of the photo that the close-up shows, in their order, then those of the close-up alone.
// `close_up` was surveyed with close_up_rectification(place, photo.rectification). Throws
// Error{bad_input} when the surveys are not of photos of the place's sizes.
std::vector<FinerFinding> finer_findings(const Survey& photo, const Survey& close_up,
                                         const CloseUpPlace& place);

// "Finding 3 (copper-salt, C4): 2.31 mm2 by the close-up (1.9 to 2.8), 2.6 mm2 by the photo", ...
std::vector<std::string> finer_lines(const std::vector<FinerFinding>& findings, bool has_mm);

}  // namespace verdigrid
