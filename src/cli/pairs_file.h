// Point pairs set by hand, as a text file.
#pragma once

#include <filesystem>
#include <vector>

#include "compare/warp.h"

namespace verdigrid {

// One pair a line: "812,40.5 790,52" (px in the first photo, px in the second); empty lines and
// lines that begin with # are passed over. Throws Error{bad_input} naming the line, and for fewer
// than three pairs.
std::vector<PointPair> load_pairs(const std::filesystem::path& path);

}  // namespace verdigrid
