#include "rectify/rectification.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

Rectification tilted_with_lens() {
  Rectification r;
  r.photo_size_px = {1200, 900};
  r.board_from_photo_px = {0.1, 0.002, -3, 0.001, 0.11, -2, 2e-5, 3e-5, 1};
  Lens lens;
  lens.camera = {950, 0, 600, 0, 955, 450, 0, 0, 1};
  lens.distortion = {-0.12, 0.04, 0.001, -0.0015, 0.003};
  lens.photo_size_px = r.photo_size_px;
  r.lens = lens;
  return r;
}

}  // namespace

TEST_CASE("many board pixels at once are the single ones, area by the exact derivative") {
  const Rectification r = tilted_with_lens();
  const std::vector<cv::Point2d> points{
      {0, 0}, {600, 450}, {1199, 899}, {30, 880}, {1000.5, 17.25}};
  const std::vector<BoardPixel> many = board_pixels(r, points);
  REQUIRE(many.size() == points.size());
  for (size_t i = 0; i < points.size(); ++i) {
    const cv::Point2d p = board_point(r, points[i]);
    CHECK_THAT(many[i].p_board.x, WithinAbs(p.x, 1e-9));
    CHECK_THAT(many[i].p_board.y, WithinAbs(p.y, 1e-9));
    // pixel_area_board takes differences over one pixel: second order, 1e-5 at this curvature.
    CHECK_THAT(many[i].area, WithinRel(pixel_area_board(r, points[i]), 1e-5));
  }
}

TEST_CASE("photo points come back from the board with and without a lens") {
  Rectification r = tilted_with_lens();
  for (int with_lens = 1; with_lens >= 0; --with_lens) {
    if (with_lens == 0) r.lens.reset();
    for (const cv::Point2d p : {cv::Point2d(0, 0), cv::Point2d(700, 123), cv::Point2d(1199, 899)}) {
      const cv::Point2d back = photo_point(r, board_point(r, p));
      CHECK_THAT(back.x, WithinAbs(p.x, 1e-6));
      CHECK_THAT(back.y, WithinAbs(p.y, 1e-6));
    }
  }
}

TEST_CASE("no points have no board pixels") { CHECK(board_pixels(tilted_with_lens(), {}).empty()); }
