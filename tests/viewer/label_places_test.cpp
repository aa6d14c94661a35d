#include "viewer/label_places.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

namespace {

constexpr float k_left = 10, k_top = 20;
const cv::Rect2f k_canvas(k_left, k_top, 300, 200);
const cv::Size2f k_text(60, 16);

cv::Rect2f box(cv::Point2f at) { return {at, k_text}; }

}  // namespace

TEST_CASE("a name takes the first wanted place that is free") {
  LabelPlaces places(k_canvas);
  CHECK(places.place({{50, 50}}, k_text) == cv::Point2f(50, 50));
  CHECK(places.place({{60, 55}, {50, 90}}, k_text) == cv::Point2f(50, 90));
  CHECK_FALSE(places.place({{50, 50}, {50, 90}}, k_text));
}

TEST_CASE("nothing is written where a place is kept free") {
  LabelPlaces places(k_canvas);
  places.keep_free({100, 100, 20, 20});
  CHECK_FALSE(places.place({{90, 95}}, k_text));
  CHECK(places.place({{125, 95}}, k_text));
}

TEST_CASE("a name that would be cut by the canvas moves inside") {
  LabelPlaces places(k_canvas);
  for (const cv::Point2f wanted :
       {cv::Point2f(-40, 60), cv::Point2f(290, 100), cv::Point2f(100, 0), cv::Point2f(200, 400)}) {
    const auto at = places.place({wanted}, k_text);
    REQUIRE(at);
    CHECK((box(*at) & k_canvas) == box(*at));
  }
}

TEST_CASE("names that are placed one after the other never lie on each other") {
  LabelPlaces places(k_canvas);
  std::vector<cv::Rect2f> placed;
  for (int i = 0; i < 200; ++i)
    if (const auto at = places.place(
            {{k_left + static_cast<float>(i * 37 % 290), k_top + static_cast<float>(i * 53 % 190)}},
            k_text)) {
      for (const cv::Rect2f& other : placed) CHECK((other & box(*at)).empty());
      placed.push_back(box(*at));
    }
  CHECK(placed.size() > 5);
}

TEST_CASE("a name wider than the canvas begins at its left edge") {
  LabelPlaces places(k_canvas);
  const auto at = places.place({{150, 60}}, {400, 16});
  REQUIRE(at);
  CHECK(at->x >= k_canvas.x);
  CHECK(at->x < k_canvas.x + 10);
}
