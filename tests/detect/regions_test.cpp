#include "detect/regions.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

using namespace verdigrid;

namespace {

cv::Mat picture(std::initializer_list<const char*> rows) {
  cv::Mat on;
  for (const char* row : rows) {
    cv::Mat line(1, static_cast<int>(std::char_traits<char>::length(row)), CV_8UC1);
    for (int x = 0; x < line.cols; ++x) line.at<uchar>(0, x) = row[x] == '#' ? 255 : 0;
    on.push_back(line);
  }
  return on;
}

double total_area(const std::vector<Polygon>& polygons) {
  double sum = 0;
  for (const auto& p : polygons) sum += area(p);
  return sum;
}

}  // namespace

TEST_CASE("one pixel is a unit square around its centre", "[detect][regions]") {
  const auto polygons = border_polygons(picture({"#"}), {10, 20});
  REQUIRE(polygons.size() == 1);
  const Ring expected{{9.5, 19.5}, {10.5, 19.5}, {10.5, 20.5}, {9.5, 20.5}};
  CHECK(polygons[0].outer == expected);
  CHECK(signed_area(polygons[0].outer) == 1);
}

TEST_CASE("nothing gives no polygon", "[detect][regions]") {
  CHECK(border_polygons(cv::Mat(), {0, 0}).empty());
  CHECK(border_polygons(picture({"..", ".."}), {0, 0}).empty());
}

TEST_CASE("a ring has one hole and the right area", "[detect][regions]") {
  const auto polygons = border_polygons(picture({"####", "#..#", "####"}), {0, 0});
  REQUIRE(polygons.size() == 1);
  REQUIRE(polygons[0].holes.size() == 1);
  CHECK(area(polygons[0]) == 10);
  CHECK(signed_area(polygons[0].holes[0]) == -2);
}

TEST_CASE("pixels that touch at a corner are two polygons", "[detect][regions]") {
  CHECK(border_polygons(picture({"#.", ".#"}), {0, 0}).size() == 2);
  CHECK(border_polygons(picture({".#", "#."}), {0, 0}).size() == 2);
  // A hole that meets the outside at a corner only is no hole.
  const auto open = border_polygons(picture({"##.", "#.#", "###"}), {0, 0});
  REQUIRE(open.size() == 1);
  CHECK(open[0].holes.empty());
  CHECK(area(open[0]) == 7);
}

TEST_CASE("an island in a hole is a polygon of its own", "[detect][regions]") {
  const auto polygons =
      border_polygons(picture({"#####", "#...#", "#.#.#", "#...#", "#####"}), {0, 0});
  REQUIRE(polygons.size() == 2);
  CHECK(total_area(polygons) == 17);
}

TEST_CASE("polygons of any picture have its pixels as area and hold its pixel centres",
          "[detect][regions]") {
  for (const int seed : {1, 2, 3, 4, 5, 6}) {
    cv::RNG rng(static_cast<std::uint64_t>(seed));
    cv::Mat noise(37, 41, CV_8UC1), on;
    rng.fill(noise, cv::RNG::UNIFORM, 0, 256);
    if (seed > 3) cv::GaussianBlur(noise, noise, {5, 5}, 1.5);
    on = noise > 127;
    const auto polygons = border_polygons(on, {0, 0});
    CHECK(total_area(polygons) == cv::countNonZero(on));
    int wrong = 0;
    for (int y = 0; y < on.rows; ++y)
      for (int x = 0; x < on.cols; ++x) {
        int inside = 0;
        for (const auto& p : polygons) inside += contains(p, {double(x), double(y)});
        wrong += inside != (on.at<uchar>(y, x) ? 1 : 0);
      }
    CHECK(wrong == 0);
    for (const auto& p : polygons) CHECK(signed_area(p.outer) > 0);
  }
}
