// The way from file bytes to upright sRGB pixels, for every format.
#include "photo/decode.h"

#include <array>
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
  REQUIRE(x.size() == y.size());
  return cv::norm(x, y, cv::NORM_INF);
}

// The lossy ones at their finest leave a few levels at sharp edges.
double mean_difference(const cv::Mat& x, const cv::Mat& y) {
  REQUIRE(x.size() == y.size());
  return cv::norm(x, y, cv::NORM_L1) / static_cast<double>(x.total() * 3);
}

cv::Mat drawn_16() {
  const cv::Mat rgb = drawn_rgb({45, 34});
  cv::Mat out;
  rgb.convertTo(out, CV_16U, 257);
  // Not multiples of 257: what lies between two 8-bit levels must be rounded to the nearer one.
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols * 3; ++x) {
      auto& v = out.ptr<ushort>(y)[x];
      v = cv::saturate_cast<ushort>(v + (x * 37 + y * 101) % 257 - 128);
    }
  return out;
}

cv::Mat rounded(const cv::Mat& rgb16) {
  cv::Mat out;
  rgb16.convertTo(out, CV_8U, 255.0 / 65535);  // saturate_cast rounds
  return bgr_of(out);
}

cv::Mat with_alpha(const cv::Mat& rgb) {
  cv::Mat out;
  cv::cvtColor(rgb, out, cv::COLOR_RGB2RGBA);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x)
      out.at<cv::Vec4b>(y, x)[3] = static_cast<uchar>(255 * x / (out.cols - 1));
  return out;
}

// Porter and Duff, "Compositing digital images", SIGGRAPH 1984: over white.
cv::Mat over_white(const cv::Mat& rgba) {
  cv::Mat out(rgba.size(), CV_8UC3);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x) {
      const cv::Vec4b& p = rgba.at<cv::Vec4b>(y, x);
      for (int c = 0; c < 3; ++c)
        out.at<cv::Vec3b>(y, x)[2 - c] =
            static_cast<uchar>(std::lround((p[c] * p[3] + 255.0 * (255 - p[3])) / 255));
    }
  return out;
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
  const cv::Mat rgb = drawn_rgb({64, 48});
  for (const bool is_progressive : {false, true})
    for (const int restart_interval : {0, 3}) {
      const Bytes file = jpeg_file(
          rgb,
          {.quality = 100, .restart_interval = restart_interval, .is_progressive = is_progressive});
      const Photo photo = decode_photo(file, "a.jpg");
      CHECK(largest_difference(photo.bgr, bgr_of(rgb)) <= 4);
      CHECK(photo.meta.format == "JPEG");
      CHECK(photo.meta.sha256 == sha256_hex(file));
    }
}

TEST_CASE("a subsampled JPEG with restart markers decodes at odd sizes", "[photo]") {
  for (const cv::Size size : {cv::Size(1, 1), {17, 33}, {64, 7}, {8, 129}})
    for (const int interval : {0, 1, 5}) {
      const Photo photo = decode_photo(
          jpeg_file(drawn_rgb(size), {.subsampling = 2, .restart_interval = interval}), "a.jpg");
      CHECK(photo.bgr.size() == size);
    }
}

TEST_CASE("a BMP decodes to exactly the pixels that were written", "[photo]") {
  const cv::Mat rgb = drawn_rgb({31, 22});
  const Photo photo = decode_photo(bmp_file(rgb), "a.bmp");
  CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
  CHECK(photo.meta.format == "BMP");
}

TEST_CASE("a TIFF decodes to exactly the pixels that were written, however it is packed",
          "[photo]") {
  const cv::Mat rgb = drawn_rgb({61, 43});
  for (const char* packing : {"none", "lzw", "deflate", "packbits"})
    for (const bool is_tiled : {false, true})
      for (const bool is_split : {false, true})
        for (const bool is_big_endian : {false, true}) {
          const Bytes file = tiff_file(rgb, {.packing = packing,
                                             .is_tiled = is_tiled,
                                             .is_split = is_split,
                                             .is_big = is_split,
                                             .is_big_endian = is_big_endian});
          const Photo photo = decode_photo(file, "a.tif");
          CAPTURE(packing, is_tiled, is_split, is_big_endian);
          CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
          CHECK(photo.meta.format == "TIFF");
        }
}

TEST_CASE("a TIFF with JPEG strips decodes within their rounding", "[photo]") {
  const cv::Mat rgb = drawn_rgb({64, 48});
  CHECK(mean_difference(decode_photo(tiff_file(rgb, {.packing = "jpeg"}), "a.tif").bgr,
                        bgr_of(rgb)) < 3);
}

TEST_CASE("grey, inverted grey and palette TIFFs come out as their colours", "[photo]") {
  cv::Mat grey;
  cv::cvtColor(drawn_rgb({40, 30}), grey, cv::COLOR_RGB2GRAY);
  cv::Mat bgr;
  cv::cvtColor(grey, bgr, cv::COLOR_GRAY2BGR);
  CHECK(largest_difference(decode_photo(tiff_file(grey), "a.tif").bgr, bgr) == 0);
  const cv::Mat inverted = ~bgr;
  CHECK(largest_difference(decode_photo(tiff_file(grey, {.is_white_zero = true}), "a.tif").bgr,
                           inverted) == 0);
  const cv::Mat coloured = decode_photo(tiff_file(grey, {.is_palette = true}), "a.tif").bgr;
  const uchar level = grey.at<uchar>(5, 7);
  CHECK(coloured.at<cv::Vec3b>(5, 7) == cv::Vec3b(40, static_cast<uchar>(255 - level), level));
}

TEST_CASE("a lossless WebP decodes to exactly the pixels that were written", "[photo]") {
  const cv::Mat rgb = drawn_rgb({61, 43});
  const Photo photo = decode_photo(webp_file(rgb), "a.webp");
  CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
  CHECK(photo.meta.format == "WebP");
  CHECK(mean_difference(decode_photo(webp_file(rgb, {.is_lossless = false}), "a.webp").bgr,
                        bgr_of(rgb)) < 6);
}

TEST_CASE("a HEIC decodes within its rounding, in a process of its own", "[photo]") {
  const cv::Mat rgb = drawn_rgb({96, 64});
  const Photo photo = decode_photo(heic_file(rgb), "a.heic");
  CHECK(mean_difference(photo.bgr, bgr_of(rgb)) < 2);
  CHECK(photo.meta.format == "HEIC");
  CHECK(photo.meta.bits_per_channel == 8);
  // The decoder's library was never loaded here.
  const Bytes maps = [] {
    Bytes all;
    std::FILE* file = std::fopen("/proc/self/maps", "r");
    std::array<char, 4096> part{};
    for (size_t n = 0; (n = std::fread(part.data(), 1, part.size(), file)) > 0;)
      append(all, part.data(), n);
    std::fclose(file);
    return all;
  }();
  const std::string text(reinterpret_cast<const char*>(maps.data()), maps.size());
  CHECK(text.find("libheif") == std::string::npos);
  CHECK(text.find("libc.so") != std::string::npos);
}

TEST_CASE("16 bits are rounded to the nearest of 8", "[photo]") {
  const cv::Mat rgb16 = drawn_16();
  const cv::Mat expected = rounded(rgb16);
  const Photo png = decode_photo(png_file(rgb16), "a.png");
  CHECK(largest_difference(png.bgr, expected) == 0);
  CHECK(png.meta.bits_per_channel == 16);
  const Photo tiff = decode_photo(tiff_file(rgb16, {.packing = "deflate"}), "a.tif");
  CHECK(largest_difference(tiff.bgr, expected) == 0);
  CHECK(tiff.meta.bits_per_channel == 16);
  const Photo heic = decode_photo(heic_file(rgb16, {.bits = 10}), "a.heic");
  CHECK(mean_difference(heic.bgr, expected) < 2);
  CHECK(heic.meta.bits_per_channel == 10);
}

TEST_CASE("alpha is flattened onto white", "[photo]") {
  const cv::Mat rgba = with_alpha(drawn_rgb({52, 32}));
  const cv::Mat expected = over_white(rgba);
  CHECK(largest_difference(decode_photo(png_file(rgba), "a.png").bgr, expected) <= 1);
  CHECK(largest_difference(decode_photo(tiff_file(rgba), "a.tif").bgr, expected) <= 1);
  CHECK(largest_difference(decode_photo(bmp_file(rgba), "a.bmp").bgr, expected) <= 1);
  // WebP drops the colour under fully transparent pixels, which shows white all the same.
  CHECK(largest_difference(decode_photo(webp_file(rgba), "a.webp").bgr, expected) <= 1);
  CHECK(mean_difference(decode_photo(heic_file(rgba), "a.heic").bgr, expected) < 3);
}

TEST_CASE("premultiplied alpha is flattened without darkening", "[photo]") {
  const cv::Mat rgba = with_alpha(drawn_rgb({52, 32}));
  cv::Mat premultiplied = rgba.clone();
  for (int y = 0; y < rgba.rows; ++y)
    for (int x = 0; x < rgba.cols; ++x) {
      auto& p = premultiplied.at<cv::Vec4b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = static_cast<uchar>(std::lround(p[c] * p[3] / 255.0));
    }
  const Photo photo = decode_photo(tiff_file(premultiplied, {.is_premultiplied = true}), "a.tif");
  CHECK(largest_difference(photo.bgr, over_white(rgba)) <= 1);
}

TEST_CASE("what EXIF says about time and camera is kept", "[photo]") {
  const ExifWish wish{1, "2024:05:17 09:30:00", "Maker  ", "Maker Model 7", {}, false};
  const Photo photo =
      decode_photo(jpeg_file(drawn_rgb({16, 16}), {.exif = exif_block(wish)}), "a.jpg");
  CHECK(photo.meta.captured_at == std::optional<std::string>("2024-05-17 09:30:00"));
  CHECK(photo.meta.camera == std::optional<std::string>("Maker Model 7"));
  const TiffWish tiff{.time = "2023:12:31 23:59:59", .make = "Make", .model = "Model"};
  const Photo from_tiff = decode_photo(tiff_file(drawn_rgb({16, 16}), tiff), "a.tif");
  CHECK(from_tiff.meta.captured_at == std::optional<std::string>("2023-12-31 23:59:59"));
  CHECK(from_tiff.meta.camera == std::optional<std::string>("Make Model"));
  const Photo bare = decode_photo(png_file(drawn_rgb({16, 16})), "a.png");
  CHECK_FALSE(bare.meta.captured_at);
  CHECK_FALSE(bare.meta.camera);
}

TEST_CASE("EXIF that makes no sense spoils nothing", "[photo]") {
  const cv::Mat rgb = drawn_rgb({16, 12});
  for (const int orientation : {0, 9, 255}) {
    const Photo photo = decode_photo(
        png_file(rgb, {.exif = exif_block({orientation, "    :  :     :  :  "})}), "a");
    CHECK(photo.meta.exif_orientation == 1);
    CHECK_FALSE(photo.meta.captured_at);
    CHECK(largest_difference(photo.bgr, bgr_of(rgb)) == 0);
  }
  Bytes noise;
  for (unsigned i = 0; i < 500; ++i) noise.push_back(static_cast<std::byte>(i * i * 31 + 7));
  CHECK(decode_photo(jpeg_file(rgb, {.exif = noise}), "a").meta.exif_orientation == 1);
}

TEST_CASE("what follows the end of a JPEG is no harm", "[photo]") {
  Bytes file = jpeg_file(drawn_rgb({32, 24}));
  append(file, std::string("a film that the phone took along"));
  CHECK(decode_photo(file, "a.jpg").bgr.size() == cv::Size(32, 24));
}

TEST_CASE("the name says nothing about the format", "[photo]") {
  CHECK(decode_photo(png_file(drawn_rgb({8, 8})), "photo.jpg").meta.format == "PNG");
  CHECK(decode_photo(jpeg_file(drawn_rgb({8, 8})), "photo.heic").meta.format == "JPEG");
}
