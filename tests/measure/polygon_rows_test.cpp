#include "measure/polygon_rows.h"

#include <catch2/catch.hpp>
#include <random>

using namespace verdigrid;

TEST_CASE("spans hold exactly the pixels whose centre lies inside") {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> at(-20, 80);
  for (int round = 0; round < 30; ++round) {
    Polygon polygon;
    for (int i = 0; i < 9; ++i) polygon.outer.push_back({at(random), at(random)});
    for (int i = 0; i < 4; ++i) polygon.holes.resize(1);
    for (int i = 0; i < 4; ++i) polygon.holes[0].push_back({at(random), at(random)});
    const PolygonRows rows(polygon, {60, 50});
    for (int y = -2; y < 53; ++y)
      for (int x = 0; x < 60; ++x) {
        const bool inside = y >= 0 && y < 50 && contains(polygon, {double(x), double(y)});
        if (rows.contains(x, y) != inside) FAIL("pixel " << x << "," << y << " round " << round);
      }
  }
  SUCCEED();
}

TEST_CASE("whole-pixel borders give back the pixels") {
  const PolygonRows rows({{{2.5, 1.5}, {5.5, 1.5}, {5.5, 4.5}, {2.5, 4.5}}, {}}, {20, 20});
  long n = 0;
  for (int y = 0; y < 20; ++y)
    for (const PixelSpan span : rows.row(y)) {
      CHECK(span.first == 3);
      CHECK(span.end == 6);
      CHECK(y >= 2);
      n += span.end - span.first;
    }
  CHECK(n == 9);
}

TEST_CASE("an empty polygon and one outside the photo have no spans") {
  const PolygonRows none({}, {20, 20});
  CHECK(none.row(3).empty());
  const PolygonRows beside({{{30, 30}, {40, 30}, {40, 40}}, {}}, {20, 20});
  for (int y = 0; y < 20; ++y) CHECK(beside.row(y).empty());
}

TEST_CASE("united spans hold what any of the shapes holds and columns hold every span") {
  std::mt19937 random(6);
  std::uniform_real_distribution<double> at(-10, 70), side(1, 30);
  for (int round = 0; round < 40; ++round) {
    std::vector<PolygonRows> shapes(1);
    std::vector<const PolygonRows*> all{&shapes[0]};
    shapes.reserve(6);
    for (int i = 0; i < round % 6; ++i) {
      const double x = at(random), y = at(random), w = side(random), h = side(random);
      shapes.emplace_back(Polygon{{{x, y}, {x + w, y + h / 3}, {x + w / 2, y + h}}, {}},
                          cv::Size(60, 50));
      all.push_back(&shapes.back());
    }
    all[0] = &shapes[0];
    const PolygonRows together = united(all);
    for (int y = 0; y < 50; ++y)
      for (int x = 0; x < 60; ++x) {
        bool any = false;
        for (const PolygonRows& shape : shapes) any |= shape.contains(x, y);
        REQUIRE(together.contains(x, y) == any);
        if (any) REQUIRE((together.columns().first <= x && x < together.columns().end));
      }
  }
}
