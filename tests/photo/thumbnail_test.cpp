#include "photo/thumbnail.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "photo/encode.h"
#include "pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

// Mean difference in levels from the whole photo made small: JPEG and its scaled transform.
constexpr double k_alike = 6;

double difference(const cv::Mat& small, const cv::Mat& whole_bgr) {
  cv::Mat reduced, off;
  cv::resize(whole_bgr, reduced, small.size(), 0, 0, cv::INTER_AREA);
  cv::absdiff(small, reduced, off);
  const cv::Scalar mean = cv::mean(off);
  return (mean[0] + mean[1] + mean[2]) / 3;
}

}  // namespace

TEST_CASE("a thumbnail looks like the photo made small, whatever its format") {
  const cv::Mat rgb = drawn_rgb({1200, 900});
  for (const Bytes& file : {jpeg_file(rgb), jpeg_file(rgb, {.is_progressive = true}), png_file(rgb),
                            bmp_file(rgb), tiff_file(rgb), webp_file(rgb)}) {
    const cv::Mat small = thumbnail(file, "a");
    CHECK(small.size() == cv::Size(128, 96));
    CHECK(difference(small, decode_photo(file, "a").bgr) < k_alike);
  }
}

TEST_CASE("a thumbnail stands upright") {
  const cv::Mat rgb = drawn_rgb({800, 600});
  const Bytes turned = jpeg_file(rgb, {.exif = exif_block({6, ""})});
  const cv::Mat small = thumbnail(turned, "a");
  CHECK(small.size() == cv::Size(96, 128));
  CHECK(difference(small, decode_photo(turned, "a").bgr) < k_alike);
}

TEST_CASE("a small photo stays as large as it is, and a narrow one keeps a pixel") {
  CHECK(thumbnail(jpeg_file(drawn_rgb({40, 30})), "a").size() == cv::Size(40, 30));
  CHECK(thumbnail(png_file(drawn_rgb({4000, 3})), "a").size() == cv::Size(128, 1));
}

TEST_CASE("what cannot be opened has no thumbnail either") {
  Bytes cut = jpeg_file(drawn_rgb({800, 600}));
  cut.resize(cut.size() / 2);
  CHECK_THROWS_AS(thumbnail(cut, "a"), Error);
  CHECK_THROWS_AS(thumbnail({}, "a"), Error);
  ThumbnailOptions small_only;
  small_only.whole_limit_mp = 0.1;
  CHECK_THROWS_AS(thumbnail(png_file(drawn_rgb({800, 600})), "a", small_only), Error);
  CHECK(thumbnail(jpeg_file(drawn_rgb({800, 600})), "a", small_only).cols == 128);
  small_only.side_px = 0;
  CHECK_THROWS_AS(thumbnail(cut, "a", small_only), Error);
}
