// Reading back the grey PNGs that this program writes (labels, confidence); photos are read by
// photo/decode.h.
//
// Throws Error{bad_input} with a sentence that starts with `name`. May be called from any thread.
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <span>
#include <string>

namespace verdigrid {

// CV_8UC1, values as stored. Refuses what is no PNG, is damaged, has another kind of pixels than
// 8-bit grey, or is not of `size_px` (checked before memory is taken).
cv::Mat grey_png(std::span<const std::byte> bytes, cv::Size size_px, const std::string& name);

}  // namespace verdigrid
