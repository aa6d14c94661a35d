// The way from file bytes to upright sRGB pixels, for the formats that stb_image reads.
#include "photo/decode.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/sha256.h"
#include "tests/photo/pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

cv::Mat bgr_of(const cv::Mat& rgb) {
  cv::Mat out;
  cv::cvtColor(rgb, out, cv::COLOR_RGB2BGR);
  return out;
}

double largest_difference(const cv::Mat& x, const cv::Mat& y) {
  return cv::norm(x, y, cv::NORM_INF);
}

}  // namespace

TEST_CASE("a PNG decodes to exactly the pixels that were written", "[photo]") {
  const cv::Mat rgb = drawn_rgb({61, 43});
  for (const bool is_interlaced : {false, true}) {
    const Photo photo = decode_photo(png_file(rgb, {.is_interlaced = is_interlaced}), "a.png");
    CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
    CHECK(photo.meta.format == "PNG");
    CHECK(photo.meta.stored_size_px == cv::Size(61, 43));
    CHECK_FALSE(photo.meta.icc_profile);
  }
}

TEST_CASE("a JPEG decodes within its own rounding", "[photo]") {
  // Quality 100 without subsampling quantises by 1: a few levels remain at sharp edges.
  const cv::Mat rgb = drawn_rgb({64, 48});
  for (const bool is_progressive : {false, true}) {
    const Bytes file = jpeg_file(rgb, {.quality = 100, .is_progressive = is_progressive});
    const Photo photo = decode_photo(file, "a.jpg");
    CHECK(largest_difference(photo.bgr, bgr_of(rgb)) <= 4);
    CHECK(photo.meta.format == "JPEG");
    CHECK(photo.meta.sha256 == sha256_hex(file));
  }
}

TEST_CASE("a BMP decodes to exactly the pixels that were written", "[photo]") {
  const cv::Mat rgb = drawn_rgb({31, 22});
  const Photo photo = decode_photo(bmp_file(rgb), "a.bmp");
  CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
  CHECK(photo.meta.format == "BMP");
}
