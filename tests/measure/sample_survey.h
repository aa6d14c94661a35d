// A survey with every field in use, of a drawn board: for tests of files and summary.
#pragma once

#include "measure/survey.h"

namespace verdigrid {

Survey sample_survey();

// The same board with nothing on it, without scale and outline.
Survey empty_survey();

}  // namespace verdigrid
