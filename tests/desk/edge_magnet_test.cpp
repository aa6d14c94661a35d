#include "desk/edge_magnet.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

using namespace verdigrid;

namespace {

constexpr double k_half_pixel = 0.5;

// A light board with one corner at the middle of pixel (200, 150), on a dark desk.
Pyramid board_corner(cv::Size size = {640, 480}) {
  cv::Mat photo(size, CV_8UC3, cv::Scalar::all(40));
  photo(cv::Rect(200, 150, size.width - 200, size.height - 150)).setTo(cv::Scalar::all(200));
  return pyramid_of(photo, Reduce::mean);
}

}  // namespace

TEST_CASE("a corner of edges pulls a point that is dropped near it") {
  const Pyramid photo = board_corner();
  for (const cv::Point2d dropped : {cv::Point2d(206, 158), {193, 145}, {199, 150}}) {
    const auto corner = corner_near(photo, dropped, 18);
    REQUIRE(corner);
    // The border lies between pixels 199 and 200.
    CHECK(std::abs(corner->x - 199.5) < 2 * k_half_pixel);
    CHECK(std::abs(corner->y - 149.5) < 2 * k_half_pixel);
  }
}

TEST_CASE("the magnet works on a coarser level as well, to a pixel of it") {
  const Pyramid photo = board_corner({2560, 1920});
  const auto corner = corner_near(photo, {230, 120}, 80);  // 80 px: the level of a quarter
  REQUIRE(corner);
  CHECK(cv::norm(*corner - cv::Point2d(199.5, 149.5)) < 4);
}

TEST_CASE("where no edges meet there is nothing to be pulled to") {
  const Pyramid photo = board_corner();
  CHECK_FALSE(corner_near(photo, {60, 60}, 18));    // plain desk
  CHECK_FALSE(corner_near(photo, {400, 151}, 18));  // along one edge
  CHECK_FALSE(corner_near(photo, {-200, -200}, 18));
  CHECK_FALSE(corner_near(photo, {230, 180}, 18));  // the corner is farther than the reach
}
