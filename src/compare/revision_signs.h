// What speaks against two placed photos showing the same revision of a board.
#pragma once

#include <string>
#include <vector>

#include "compare/registration.h"

namespace verdigrid {

// Sentences; empty when nothing speaks against it. The sign that photos show whatever is fitted:
// the colour of the solder mask.
std::vector<std::string> revision_signs(const BoardPhoto& first, const BoardPhoto& second,
                                        const Registration& placed);

}  // namespace verdigrid
