// The outline that edge pieces make, with a remark for everything that is not one plain ring.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "layout/outline_join.h"

namespace verdigrid {

// Empty polygon and a remark when nothing closes. Throws bad_input for more than 20000 pieces.
Polygon said_outline(const std::vector<Polyline>& pieces, double gap_mm, std::string_view where,
                     std::vector<std::string>& remarks);

}  // namespace verdigrid
