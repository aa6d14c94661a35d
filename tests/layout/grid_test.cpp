#include "layout/grid.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {
constexpr double k_tenth_mm = 0.05;
}

TEST_CASE("the grid of three board sizes has the stated squares") {
  struct Case {
    double width_mm, height_mm;
    int columns, rows;
    double square_width_mm, square_height_mm;
  };
  for (const Case& c : {Case{200, 150, 8, 6, 25.0, 25.0}, Case{160, 99.1, 8, 6, 20.0, 16.5},
                        Case{52.1, 46.4, 4, 4, 13.0, 11.6}}) {
    const Grid g = grid_over({0, 0, c.width_mm, c.height_mm}, true);
    CHECK(g.columns == c.columns);
    CHECK(g.rows == c.rows);
    CHECK_THAT(g.square_width(), WithinAbs(c.square_width_mm, k_tenth_mm));
    CHECK_THAT(g.square_height(), WithinAbs(c.square_height_mm, k_tenth_mm));
  }
}

TEST_CASE("a place is named by row letter and column number") {
  const Grid g = grid_over({0, 0, 200, 150}, true);
  CHECK(square_at(g, {130, 60}) == "C6");
  CHECK(square_at(g, {0, 0}) == "A1");
  CHECK(square_at(g, {200, 150}) == "F8");
  CHECK_FALSE(square_at(g, {200.1, 10}));
}

// ISO 5457:1999: letters I and O are not used.
TEST_CASE("row letters leave out I and O and go on with two letters") {
  CHECK(row_letters(0) == "A");
  CHECK(row_letters(7) == "H");
  CHECK(row_letters(8) == "J");
  CHECK(row_letters(13) == "P");
  CHECK(row_letters(23) == "Z");
  CHECK(row_letters(24) == "AA");
  CHECK(row_letters(24 + 24) == "BA");
}

TEST_CASE("without millimetres the longer side has eight columns") {
  const Grid g = grid_over({0, 0, 4000, 3000}, false);
  CHECK(g.columns == 8);
  CHECK(g.rows == 6);
  CHECK_THROWS(grid_over({0, 0, 0, 10}, true));
}
