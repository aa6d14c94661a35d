// EXIF 2.32 (CIPA DC-008-2019) tag 0x0112: where the stored row 0 and column 0 lie in the upright
// picture. 1 top/left, 2 top/right, 3 bottom/right, 4 bottom/left, 5 left/top, 6 right/top,
// 7 right/bottom, 8 left/bottom.
#include <array>
#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>
#include <string>

#include "photo/decode.h"
#include "photo/raster.h"
#include "tests/photo/pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

// For each orientation: does the stored row run along the upright picture's rows, and from which
// end do stored rows and columns start?
struct Rule {
  bool is_swapped, is_x_from_right, is_y_from_bottom;
};
constexpr std::array<Rule, 9> k_rules{{{},
                                       {false, false, false},
                                       {false, true, false},
                                       {false, true, true},
                                       {false, false, true},
                                       {true, false, false},
                                       {true, true, false},
                                       {true, true, true},
                                       {true, false, true}}};

// Upright position of the stored px (column, row).
cv::Point upright_of(cv::Point stored, cv::Size size, int orientation) {
  const Rule& rule = k_rules[static_cast<size_t>(orientation)];
  cv::Point p = rule.is_swapped ? cv::Point(stored.y, stored.x) : stored;
  const cv::Size upright = rule.is_swapped ? cv::Size(size.height, size.width) : size;
  if (rule.is_x_from_right) p.x = upright.width - 1 - p.x;
  if (rule.is_y_from_bottom) p.y = upright.height - 1 - p.y;
  return p;
}

void check_upright(const Photo& photo, const cv::Mat& stored_rgb, int orientation, int tolerance) {
  CAPTURE(photo.meta.name, orientation);
  const Rule& rule = k_rules[static_cast<size_t>(orientation)];
  const cv::Size size = stored_rgb.size();
  REQUIRE(photo.bgr.size() == (rule.is_swapped ? cv::Size(size.height, size.width) : size));
  CHECK(photo.meta.stored_size_px == size);
  CHECK(photo.meta.exif_orientation == orientation);
  int wrong = 0;
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const cv::Vec3b from = stored_rgb.at<cv::Vec3b>(y, x);
      const cv::Vec3b to = photo.bgr.at<cv::Vec3b>(upright_of({x, y}, size, orientation));
      for (int c = 0; c < 3; ++c) wrong += std::abs(from[c] - to[2 - c]) > tolerance;
    }
  CHECK(wrong == 0);
}

}  // namespace

TEST_CASE("every EXIF orientation is applied once in every format that carries it", "[photo]") {
  const cv::Mat rgb = drawn_rgb({48, 32});
  for (int orientation = 1; orientation <= 8; ++orientation) {
    for (const bool is_big_endian : {false, true}) {
      const Bytes exif = exif_block({orientation, {}, {}, {}, {}, is_big_endian});
      check_upright(decode_photo(jpeg_file(rgb, {.quality = 100, .exif = exif}), "jpeg"), rgb,
                    orientation, 4);
      check_upright(decode_photo(png_file(rgb, {.exif = exif}), "png"), rgb, orientation, 0);
    }
    check_upright(decode_photo(tiff_file(rgb, {.orientation = orientation}), "tiff"), rgb,
                  orientation, 0);
    check_upright(decode_photo(webp_file(rgb, {.orientation = orientation}), "webp"), rgb,
                  orientation, 0);
  }
}

TEST_CASE("a palette TIFF is turned once, not twice", "[photo]") {
  cv::Mat grey;
  cv::cvtColor(drawn_rgb({40, 24}), grey, cv::COLOR_RGB2GRAY);
  const Photo stored = decode_photo(tiff_file(grey, {.is_palette = true}), "a.tif");
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const Photo photo =
        decode_photo(tiff_file(grey, {.is_palette = true, .orientation = orientation}), "a.tif");
    CHECK(cv::norm(photo.bgr, oriented(stored.bgr, orientation), cv::NORM_INF) == 0);
  }
}

TEST_CASE("a HEIC is turned by its own boxes", "[photo]") {
  // irot and imir of ISO/IEC 23008-12 sections 6.5.10 and 6.5.12.
  const cv::Mat rgb = drawn_rgb({96, 64});
  const Photo stored = decode_photo(boxed_heic_file(rgb, 1), "a.heic");
  for (int orientation = 2; orientation <= 8; ++orientation) {
    CAPTURE(orientation);
    const Photo photo = decode_photo(boxed_heic_file(rgb, orientation), "a.heic");
    const cv::Mat expected = oriented(stored.bgr, orientation);
    REQUIRE(photo.bgr.size() == expected.size());
    CHECK(photo.meta.exif_orientation == 1);
    CHECK(cv::norm(photo.bgr, expected, cv::NORM_INF) <= 2);
  }
}

TEST_CASE("the EXIF orientation in a HEIC is not applied", "[photo]") {
  // ISO/IEC 23008-12: the boxes alone turn the picture; a tag beside them would turn it twice.
  const cv::Mat rgb = drawn_rgb({96, 64});
  const HeicWish wish{.through_jpeg = {.quality = 100, .exif = exif_block({6, {}, "Make"})}};
  const Photo photo = decode_photo(heic_file(rgb, wish), "a.heic");
  CHECK(photo.meta.camera == std::optional<std::string>("Make"));
  CHECK(photo.bgr.size() == rgb.size());
  CHECK(photo.meta.exif_orientation == 1);
}
