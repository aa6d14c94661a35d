// The survey in ten lines for a person: what was looked at, how well it could be seen, what was
// found and where, and what was not seen. Never a clearance.
#pragma once

#include <string>
#include <vector>

#include "measure/survey.h"

namespace verdigrid {

// At most ten lines of UTF-8 without line ends. Numbers have a decimal point whatever the locale.
std::vector<std::string> summary_lines(const Survey& survey);

}  // namespace verdigrid
