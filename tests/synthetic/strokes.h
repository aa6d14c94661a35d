// A stroke alphabet of our own (capitals, digits, few signs) for silkscreen and part marks.
#pragma once

#include <opencv2/core.hpp>
#include <string_view>
#include <vector>

namespace verdigrid::synthetic {

// Polylines of the text, centred on (0, 0), y down, capitals `height` tall. Unknown signs are gaps.
std::vector<std::vector<cv::Point2d>> text_strokes(std::string_view text, double height);

double text_width(std::string_view text, double height);

}  // namespace verdigrid::synthetic
