#include "compare/point_map.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/refine.h"
#include "tests/compare/texture.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

// A half turn and a stretch: 200 x 100 px onto 400 x 200 px.
cv::Point2d turned(cv::Point2d p) { return {399 - 2 * p.x, 199 - 2 * p.y}; }

}  // namespace

TEST_CASE("tiles cover every pixel of a picture once") {
  for (const cv::Size size : {cv::Size(100, 70), cv::Size(64, 32), cv::Size(5, 3)}) {
    cv::Mat times = cv::Mat::zeros(size, CV_8UC1);
    for_tiles(size, 32, [&](cv::Rect tile) { times(tile) += 1; });
    CHECK(cv::countNonZero(times == 1) == size.area());
  }
}

TEST_CASE(
    "a window lies in the other picture where its pixels do, and nowhere beyond the horizon") {
  const cv::Rect there = window_through({10, 20, 30, 40}, turned);
  for (const cv::Point2d p : {cv::Point2d(10, 20), cv::Point2d(39, 59)}) {
    const cv::Point2d q = turned(p);
    CHECK(there.contains(cv::Point(cvRound(q.x), cvRound(q.y))));
  }
  CHECK(there.width < 2 * 30 + 12);
  CHECK(window_through({0, 0, 8, 8}, [](cv::Point2d) { return cv::Point2d(1e9, 0); }).empty());
}

TEST_CASE("what a picture shows through a map ends at its borders") {
  const cv::Size picture(400, 200), size(300, 150);
  const cv::Mat shown = shown_through(picture, size, turned);
  const cv::Mat by_pixels = seen_through(cv::Mat(picture, CV_8UC1, cv::Scalar(255)), size, turned,
                                         cv::INTER_NEAREST, cv::Scalar(0));
  CHECK(cv::countNonZero(shown) == 200 * 100);
  CHECK(cv::norm(shown, by_pixels, cv::NORM_INF) == 0);
}

TEST_CASE("a photo made smaller by halves is the photo made smaller at once") {
  const cv::Mat photo = texture({801, 603}, 5);
  for (const double scale : {0.6, 0.5, 0.3, 0.13}) {
    cv::Mat at_once;
    cv::resize(photo, at_once, {}, scale, scale, cv::INTER_AREA);
    const cv::Mat by_halves = resized_photo(photo, scale);
    REQUIRE(std::abs(by_halves.cols - at_once.cols) <= 1);
    REQUIRE(std::abs(by_halves.rows - at_once.rows) <= 1);
    const cv::Rect both = cv::Rect({}, by_halves.size()) & cv::Rect({}, at_once.size());
    // Levels: rounded once per halving, and half pixels count as even.
    CHECK(cv::norm(by_halves(both), at_once(both), cv::NORM_L1) / (3 * both.area()) < 2);
  }
}
