// Picture files of every format, written by the formats' own libraries, for the decoder's tests.
//
// `pixels` is CV_8UC1/3/4 or CV_16UC1/3/4 in RGB(A) order. Deterministic.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "base/files.h"

namespace verdigrid::testing {

// A drawn scene without symmetry: a smooth ramp in each channel and a few sharp shapes.
cv::Mat drawn_rgb(cv::Size size);

struct JpegWish {
  int quality = 95;
  int subsampling = 1;  // 1 or 2, both directions
  int restart_interval = 0;
  bool is_progressive = false, is_cmyk = false;
  Bytes exif, icc;  // exif without the "Exif" prefix
};
Bytes jpeg_file(const cv::Mat& pixels, const JpegWish& wish = {});

struct PngWish {
  bool is_interlaced = false;
  Bytes exif, icc;
};
Bytes png_file(const cv::Mat& pixels, const PngWish& wish = {});

// 24 bits bottom-up, or 32 with alpha.
Bytes bmp_file(const cv::Mat& pixels);

struct TiffWish {
  std::string packing = "none";  // "none", "lzw", "deflate", "packbits", "jpeg" (8-bit colour only)
  bool is_tiled = false, is_split = false, is_big = false, is_big_endian = false;
  bool is_cmyk = false, is_white_zero = false, is_palette = false, is_raw = false;
  bool is_premultiplied = false;
  int pages = 1, orientation = 1;
  std::string time, make, model;
  Bytes icc;
};
Bytes tiff_file(const cv::Mat& pixels, const TiffWish& wish = {});

struct WebpWish {
  bool is_lossless = true;
  int orientation = 0;  // of an EXIF chunk; 0: no chunk
  std::string time, make, model;
  Bytes icc;
  bool is_animated = false;  // only marked so
};
Bytes webp_file(const cv::Mat& pixels, const WebpWish& wish = {});

// By the program heif-enc, in 4:4:4 with the finest quality.
struct HeicWish {
  int bits = 8;           // 10 or 12 from 16-bit pixels
  JpegWish through_jpeg;  // EXIF and profile come from a JPEG when it carries any
};
Bytes heic_file(const cv::Mat& pixels, const HeicWish& wish = {});
// Turned by its own boxes, orientation 1 to 8 as in EXIF; primaries and transfer of ITU-T H.273,
// 2 = not said; 8 bits.
Bytes boxed_heic_file(const cv::Mat& pixels, int orientation, int primaries = 2, int transfer = 2);

struct ExifWish {
  int orientation = 1;
  std::string time, make, model, interoperability;
  bool is_big_endian = false;
};
// TIFF structure written by hand after EXIF 2.32 section 4.6.
Bytes exif_block(const ExifWish& wish);

Bytes debian_profile(const std::string& file_name);  // of the package icc-profiles-free

void append(Bytes& to, const void* data, size_t count);
void append(Bytes& to, const std::string& text);
void append_number(Bytes& to, std::uint64_t value, size_t count, bool is_big_endian);
// Body of an iCCP chunk.
Bytes packed_profile(const Bytes& icc);
// A PNG chunk with its checksum (zlib).
Bytes png_chunk(const std::string& type, const Bytes& body);

}  // namespace verdigrid::testing
