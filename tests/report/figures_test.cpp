#include "report/figures.h"

#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>

#include "tests/report/made_up_survey.h"

using namespace verdigrid;

TEST_CASE("figures carry three digits and no more than they are worth", "[report]") {
  CHECK(figure(0) == "0");
  CHECK(figure(0.04123) == "0.0412");
  CHECK(figure(3.1789) == "3.18");
  CHECK(figure(41.25) == "41.2");
  CHECK(figure(1279.6) == "1280");
  CHECK(figure(99.96) == "100");
  CHECK(figure(std::nan("")) == "not known");
  CHECK(figure(5.21, "px") == "5.21 px");
  CHECK(figure(std::nan(""), "px") == "not known");
}

TEST_CASE("a share that is not nothing never reads as nothing", "[report]") {
  CHECK(percent_figure(0) == "0 %");
  CHECK(percent_figure(0.0004) == "< 0.01 %");
  CHECK(percent_figure(0.04) == "0.04 %");
  CHECK(percent_figure(3.14) == "3.1 %");
  CHECK(percent_figure(31.4) == "31 %");
}

TEST_CASE("an area is in mm2 only with a scale", "[report]") {
  const Amount amount{100, {12.4, 10.9, 14.1}, {1.2, 1.1, 1.3}};
  CHECK(amount_figure(amount, true) == "12.4 mm² (10.9 to 14.1), 1.2 %");
  CHECK(amount_figure(amount, false) == "1.2 %");
}

TEST_CASE("nothing found is never a clearance", "[report]") {
  CHECK(nothing_found_sentence(made_up::survey(0)) ==
        "Nothing found in what this photo shows; 4 % unseen; not a clearance.");
}

TEST_CASE("the scale is told with its interval and its way", "[report]") {
  CHECK(scale_figure(made_up::rectification()) ==
        "2.00 px per mm (± 1.0 %), by the board's size and the corners given");
  CHECK(scale_figure(Rectification{}) == "no scale: areas in % only");
}
