// Pictures that we write: lossless PNG for labels and confidence, JPEG for looking at.
//
// `pixels` is CV_8UC1 (grey, labels) or CV_8UC3 (BGR), not empty. Same input, same bytes. Errors:
// Error{internal} for other types, Error{no_result} when the library refuses. May be called from
// any thread. Cost: about 0.5 s for a 24-megapixel PNG of labels.
#pragma once

#include <opencv2/core.hpp>

#include "base/files.h"

namespace verdigrid {

Bytes png_bytes(const cv::Mat& pixels);

// quality 1..100 as in libjpeg; 4:2:0 below 90, 4:4:4 from 90 on.
Bytes jpeg_bytes(const cv::Mat& pixels, int quality = 90);

}  // namespace verdigrid
