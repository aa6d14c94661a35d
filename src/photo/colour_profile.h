// From an embedded colour profile to sRGB, by Little CMS.
//
// Inside src/photo only. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "photo/raster.h"

namespace verdigrid {

struct SrgbPixels {
  // CV_8UCn, colour channels in sRGB and BGR order, n = 3 or 4 with alpha last.
  cv::Mat pixels;
  std::string profile_name;
};

// Has the raster colours that are not sRGB by its own word?
bool is_profiled(const Raster& raster);

// Relative colorimetric without black point compensation. Throws ContainerFault for a profile that
// cannot be read, or one that is not for grey or RGB input.
SrgbPixels srgb_from_profiled(const Raster& raster);

}  // namespace verdigrid
