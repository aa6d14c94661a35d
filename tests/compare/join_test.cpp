#include "compare/join.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "compare/straight.h"
#include "tests/compare/rendered_parts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("four photos of a board become one, with seams that fit and areas that hold", "[slow]") {
  const RenderedParts parts = rendered_parts(0, {640, 480});
  const Joined all = joined(parts.photos);
  REQUIRE(all.photos.size() == 4);
  const SeamError e = seam_error(all, parts);
  CHECK(e.places > 100);
  CHECK(e.rms_px <= 0.5);
  const auto ratio = area_ratio(all, parts);
  REQUIRE(ratio);
  CHECK_THAT(*ratio, WithinAbs(1, 0.02));
  // Larger than any of its photos, every photo has its part, and all of the board is there.
  CHECK(all.bgr.cols > 700);
  for (const JoinedPhoto& p : all.photos) CHECK(p.share > 0.05);
}

TEST_CASE("one photo, and photos that have nothing in common, are not joined") {
  const RenderedParts parts = rendered_parts(0, {320, 240});
  CHECK_THROWS_WITH(joined({parts.photos[0]}), Contains("two photos"));
  Photo noise = parts.photos[1];
  noise.bgr = cv::Mat(240, 320, CV_8UC3);
  cv::RNG random(5);
  random.fill(noise.bgr, cv::RNG::UNIFORM, 0, 255);
  noise.meta.name = "noise.jpg";
  CHECK_THROWS_WITH(joined({parts.photos[0], noise}), Contains("noise.jpg"));
  JoinOptions options;
  options.feather_px = -1;
  CHECK_THROWS_WITH(options.check(), Contains("feather_px"));
}

TEST_CASE("a straight picture has the board's frame at one scale, front and back") {
  for (const Side side : {Side::front, Side::back}) {
    synthetic::BoardOptions board;
    board.size_mm = cv::Size2d(80, 60);
    board.side = side;
    const synthetic::Shot s =
        synthetic::shot(synthetic::random_board(3, board), synthetic::random_camera(3, {320, 240}));
    const Straight straight = straightened(photo_of(s), rectification_from(s.truth));
    const Rectification& r = straight.rectification;
    REQUIRE(r.photo_size_px == straight.bgr.size());
    const double px = 1 / std::sqrt(pixel_area_board(r, {10, 10}));
    CHECK_THAT(1 / std::sqrt(pixel_area_board(r, {200, 150})), WithinAbs(px, 1e-9));
    // The outline is the board's, and its middle lies in the middle.
    CHECK_THAT(bounding_box(r.outline_board.outer).width, WithinAbs(80, 1e-6));
    const cv::Point2d middle = photo_point(r, {40, 30});
    CHECK_THAT(middle.x, WithinAbs((straight.bgr.cols - 1) / 2.0, 1));
    // A board px shows what the photo shows there.
    const cv::Point2d p = photo_point(r, {20, 20}),
                      q = photo_point(rectification_from(s.truth), {20, 20});
    const auto mean = [](const cv::Mat& bgr, cv::Point2d at) {
      return cv::mean(bgr(cv::Rect(cvRound(at.x) - 4, cvRound(at.y) - 4, 9, 9)));
    };
    CHECK(cv::norm(mean(straight.bgr, p) - mean(s.bgr, q)) < 25);
  }
}
