// The changes of a comparison one by one, in the order in which a person should walk through them;
// used by comparison_of().
#pragma once

#include <vector>

#include "compare/comparison.h"

namespace verdigrid {

// `comparison` complete but for its changes.
std::vector<ChangeItem> change_list(const Survey& before, const Survey& after,
                                    const Comparison& comparison);

}  // namespace verdigrid
