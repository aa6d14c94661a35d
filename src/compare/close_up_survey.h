// A close-up that was placed, surveyed in its place: at its own finer scale, in the board frame and
// the squares of its side's photo, with what it makes of that photo's findings.
//
// Pure; may be called from any thread. Cost: that of survey_of on the close-up.
#pragma once

#include "compare/close_up_file.h"
#include "detect/detector.h"

namespace verdigrid {

struct SurveyedCloseUp {
  Survey survey;  // of the close-up
  PlacedCloseUp placed;
};

// `answer` has a place. Throws Error{bad_input} when the sizes do not fit it.
SurveyedCloseUp surveyed_close_up(const SurveyedPhoto& photo, const Photo& close_up,
                                  const CloseUpAnswer& answer, const Detector& detector,
                                  const SurveyOptions& options, const Work& work = {});

}  // namespace verdigrid
