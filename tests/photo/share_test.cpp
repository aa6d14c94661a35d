#include "photo/share.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <opencv2/core.hpp>

#include "tests/photo/pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

bool holds(const Bytes& bytes, const std::string& text) {
  const auto* first = reinterpret_cast<const std::byte*>(text.data());
  return std::search(bytes.begin(), bytes.end(), first, first + text.size()) != bytes.end();
}

Bytes tagged_jpeg(int orientation, bool is_progressive) {
  JpegWish wish;
  wish.is_progressive = is_progressive;
  wish.restart_interval = is_progressive ? 0 : 3;
  wish.exif = exif_block({orientation, "2026:03:01 10:00:00", "Secretmaker", "SN-12345"});
  return jpeg_file(drawn_rgb({61, 40}), wish);
}

}  // namespace

TEST_CASE("a shared JPEG keeps its pixels and orientation and loses everything else") {
  for (const bool is_progressive : {false, true})
    for (int orientation = 1; orientation <= 8; ++orientation) {
      CAPTURE(orientation, is_progressive);
      Bytes whole = tagged_jpeg(orientation, is_progressive);
      REQUIRE(holds(whole, "Secretmaker"));
      append(whole, std::string("trailing clip"));
      const Bytes shared = shareable_photo(whole, "a.jpg");
      CHECK_FALSE(holds(shared, "Secretmaker"));
      CHECK_FALSE(holds(shared, "SN-12345"));
      CHECK_FALSE(holds(shared, "trailing clip"));
      const Photo before = decode_photo(whole, "a.jpg"), after = decode_photo(shared, "a.jpg");
      CHECK(after.size_px() == before.size_px());
      CHECK(cv::norm(after.bgr, before.bgr, cv::NORM_INF) == 0);
      CHECK(after.meta.exif_orientation == orientation);
      CHECK_FALSE(after.meta.camera);
    }
}

TEST_CASE("a shared PNG is written anew without its metadata") {
  PngWish wish;
  wish.exif = exif_block({6, "2026:03:01 10:00:00", "Secretmaker", "SN-12345"});
  const Bytes whole = png_file(drawn_rgb({61, 40}), wish);
  REQUIRE(holds(whole, "Secretmaker"));
  const Bytes shared = shareable_photo(whole, "a.png");
  CHECK_FALSE(holds(shared, "Secretmaker"));
  CHECK(cv::norm(decode_photo(shared, "a.png").bgr, decode_photo(whole, "a.png").bgr,
                 cv::NORM_INF) == 0);
}

TEST_CASE("a damaged photo is not shared") {
  Bytes cut = tagged_jpeg(1, false);
  cut.resize(cut.size() / 2);
  CHECK_THROWS_WITH(shareable_photo(cut, "a.jpg"), Catch::Contains("a.jpg"));
}
