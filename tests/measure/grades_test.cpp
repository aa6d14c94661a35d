#include "measure/grades.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

// ASTM D610-08(2012) Table 1 and ISO 10289:1999 Table 1 (ratings 0 to 5 from memory), at and just
// past every bound.
TEST_CASE("grades at and just past every bound are those of the tables") {
  struct Row {
    double percent;
    int d610, iso10289;
  };
  const Row rows[] = {
      {0, 10, 10},      {0.005, 10, 9},    {0.01, 10, 9},     {0.0100001, 9, 9}, {0.03, 9, 9},
      {0.05, 8, 9},     {0.1, 8, 9},       {0.100001, 7, 8},  {0.2, 7, 8},       {0.25, 7, 8},
      {0.250001, 7, 7}, {0.3, 7, 7},       {0.5, 6, 7},       {0.500001, 6, 6},  {1, 6, 6},
      {1.000001, 5, 5}, {2.5, 5, 5},       {2.500001, 5, 4},  {3, 5, 4},         {5, 4, 4},
      {5.000001, 4, 3}, {8, 4, 3},         {10, 4, 3},        {10.000001, 3, 2}, {16, 3, 2},
      {16.5, 2, 2},     {25, 2, 2},        {25.000001, 2, 1}, {33, 2, 1},        {40, 1, 1},
      {50, 1, 1},       {50.000001, 0, 0}, {75, 0, 0},        {100, 0, 0},
  };
  for (const Row& r : rows) {
    CAPTURE(r.percent);
    CHECK(astm_d610_grade(r.percent) == r.d610);
    CHECK(iso10289_rating(r.percent) == r.iso10289);
  }
}

// ISO 4628-3 prints the areas 0, 0.05, 0.5, 1, 8 and 40 to 50 %; the bounds between are our own
// rule (geometric midpoints).
TEST_CASE("the ISO 4628-3 degree is that of the nearest printed area") {
  struct Row {
    double percent;
    int ri;
  };
  for (const Row& r :
       {Row{0, 0}, Row{0.001, 1}, Row{0.05, 1}, Row{0.158, 1}, Row{0.1582, 2}, Row{0.5, 2},
        Row{0.707, 2}, Row{0.7072, 3}, Row{1, 3}, Row{2.828, 3}, Row{2.829, 4}, Row{8, 4},
        Row{18.9, 4}, Row{18.92, 5}, Row{40, 5}, Row{100, 5}}) {
    CAPTURE(r.percent);
    CHECK(iso4628_3_ri(r.percent) == r.ri);
  }
}

TEST_CASE("an area outside 0 to 100 percent is a fault of ours") {
  CHECK_THROWS(astm_d610_grade(-0.1));
  CHECK_THROWS(iso10289_rating(100.1));
}
