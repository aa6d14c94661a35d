// One function per figure of the photo check; check.cpp puts them together.
//
// Inside src/photo only. Each returns an item with figure, limits, source, verdict and sentence.
// May be called from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "base/work.h"
#include "photo/check.h"
#include "photo/check_view.h"

namespace verdigrid {

// Verdict for a figure that is better when smaller, or better when larger.
Verdict verdict_below(double figure, double good_limit, double usable_limit);
Verdict verdict_above(double figure, double good_limit, double usable_limit);

struct FocusResult {
  CheckItem item;
  cv::Mat blurred;  // CV_8UC1, 255 where the photo is too soft, size of the view
};
FocusResult focus_item(const CheckView& view, const PhotoCheckOptions& options, const Work& work);

CheckItem clipping_item(const CheckView& view);

struct GlareResult {
  CheckItem item;
  cv::Mat washed_out;  // CV_8UC1, 255 where a reflection hides the board, size of the view
};
GlareResult glare_item(const CheckView& view);

CheckItem light_item(const CheckView& view);
CheckItem colour_cast_item(const CheckView& view);
CheckItem resolution_item(const PhotoCheckOptions& options);
CheckItem tilt_item(const PhotoCheckOptions& options);

}  // namespace verdigrid
