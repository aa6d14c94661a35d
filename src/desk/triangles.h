// A simple polygon cut into triangles by ears (Meisters, "Polygons have ears", American
// Mathematical Monthly 82(6), 1975). For drawing; either direction. May be called from any thread.
#pragma once

#include <array>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

using Triangle = std::array<size_t, 3>;  // indices into the ring

// Empty for fewer than three points. What crosses itself is cut as well as it goes.
std::vector<Triangle> triangles_of(const Ring& ring);

}  // namespace verdigrid
