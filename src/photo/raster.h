// Decoded samples as they stand in the file, and the one way from there to upright sRGB pixels.
//
// Inside src/photo only. May be called from any thread.
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "base/files.h"

namespace verdigrid {

// How colours are meant when no ICC profile is embedded.
enum class ColourMeaning { srgb, dcf_optional, display_p3, bt2020 };

enum class SampleOrder { rgb, bgr };

struct Raster {
  // CV_8UCn or CV_16UCn, n = 1 grey, 2 grey + alpha, 3 colour, 4 colour + alpha (not
  // premultiplied).
  cv::Mat samples;
  std::shared_ptr<void> owner;  // of the samples when a library allocated them; else empty
  SampleOrder order = SampleOrder::rgb;
  Bytes icc;  // empty: see meaning
  ColourMeaning meaning = ColourMeaning::srgb;
};

struct Upright {
  cv::Mat bgr;  // CV_8UC3
  std::optional<std::string> profile_name;
};

// Colour to sRGB (relative colorimetric, ICC.1:2010), alpha flattened onto white, 16 bits rounded
// to 8, `orientation` 1..8 of EXIF applied. Takes the raster so that its memory can go early. A
// profile that moves no colour by more than one level of 255 is named but not run. Throws
// ContainerFault for a profile that cannot be read or does not fit the samples.
Upright upright_srgb(Raster raster, int orientation);

// The pixels turned and mirrored as tag 0x0112 says; shares them for 1.
cv::Mat oriented(const cv::Mat& pixels, int orientation);

}  // namespace verdigrid
