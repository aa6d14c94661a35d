// A decoded photo: upright pixels in sRGB and what the file said about itself.
//
// `bgr` is CV_8UC3 in BGR order, never empty, EXIF orientation applied once, embedded ICC profile
// converted to sRGB, alpha flattened onto white, 16-bit input rounded to 8. Pixel (0,0) has its
// centre at (0,0). A value: copies share pixels, which nobody writes.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>

namespace verdigrid {

struct PhotoMeta {
  std::string name;          // file name without folder, as given
  std::string sha256;        // of the file's bytes, 64 hex digits
  std::string format;        // "JPEG", "PNG", "BMP", "TIFF", "WebP", "HEIC"
  cv::Size stored_size_px;   // before EXIF orientation
  int exif_orientation = 1;  // 1..8 as in EXIF 2.32 tag 0x0112
  int bits_per_channel = 8;  // of the file
  std::optional<std::string>
      icc_profile;  // description of the embedded profile that was converted; empty: taken as sRGB
  std::optional<std::string>
      captured_at;  // EXIF DateTimeOriginal as "YYYY-MM-DD hh:mm:ss" (local time of the camera)
  std::optional<std::string>
      camera;  // EXIF make and model, trimmed; never serial number or position
};

struct Photo {
  cv::Mat bgr;
  PhotoMeta meta;

  cv::Size size_px() const { return bgr.size(); }
};

}  // namespace verdigrid
