// A small picture of a photo file for lists of photos: quick, not exact, never measured.
//
// A JPEG is decoded at an eighth or more of its size by libjpeg's scaled inverse transform, so that
// 200 megapixels take under 10 MB; a progressive one, and every other format, is decoded whole and
// only up to `whole_limit_mp`. Colour profiles are not applied to a JPEG. Throws Error{bad_input}
// like decode_photo. May be called from any thread. Cost: about 40 ms for a 24-megapixel JPEG.
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <span>
#include <string>

#include "photo/decode.h"

namespace verdigrid {

struct ThumbnailOptions {
  int side_px = 128;           // of the longer side, at most
  double whole_limit_mp = 50;  // megapixels
  DecodeOptions decode;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// CV_8UC3, upright, at least 1 px each way, never larger than the photo.
cv::Mat thumbnail(std::span<const std::byte> bytes, const std::string& name,
                  const ThumbnailOptions& options = {});

}  // namespace verdigrid
