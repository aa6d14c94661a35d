#include "base/segment.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

TEST_CASE("the nearest point of a segment lies square to it, or at its nearer end", "[base]") {
  const cv::Point2d a{2, 1}, b{6, 4};  // 5 long
  // 3-4-5: from the foot at two fifths of the way, 2 square to it.
  const cv::Point2d foot = a + 0.4 * (b - a), square = {-3.0 / 5, 4.0 / 5};
  CHECK(cv::norm(nearest_on_segment(foot + 2 * square, a, b) - foot) == Approx(0).margin(1e-12));
  CHECK(distance_to_segment(foot - 2 * square, a, b) == Approx(2));
  CHECK(nearest_on_segment({-1, -3}, a, b) == a);
  CHECK(distance_to_segment({-1, -3}, a, b) == Approx(5));
  CHECK(distance_to_segment({9, 8}, a, b) == Approx(5));
  CHECK(nearest_on_segment({9, 8}, b, a) == b);
}

TEST_CASE("a segment of no length is its point", "[base]") {
  const cv::Point2d a{3, 3};
  CHECK(nearest_on_segment({0, -1}, a, a) == a);
  CHECK(distance_to_segment({0, -1}, a, a) == Approx(5));
}
