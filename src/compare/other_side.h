// Why a registration failed: other side, mirrored photo, another revision, or another board.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "compare/registration.h"

namespace verdigrid {

// What the best fit that was not good enough had.
struct Likeness {
  double strength = 0;
  size_t inliers = 0;
};

// Above either of these two boards are alike in part, which chance does not reach.
inline constexpr double k_part_alike_strength = 0.015;
inline constexpr size_t k_part_alike_inliers = 50;

// `is_same_as_first` registers a photo with the first one. Adds the sentence that says what was
// seen and what to do.
Match refused_match(const BoardPhoto& first, const BoardPhoto& second, const Likeness& likeness,
                    const std::function<bool(const BoardPhoto&)>& is_same_as_first,
                    const Work& work, std::vector<std::string>& remarks);

// The warp that point pairs set by hand give: affine for three, homography for more. Throws
// bad_input for fewer, or when they lie on one line.
Warp warp_by_hand(const std::vector<PointPair>& pairs);

}  // namespace verdigrid
