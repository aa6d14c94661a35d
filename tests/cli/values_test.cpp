#include "cli/values.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "cli/progress_bar.h"

using namespace verdigrid;

TEST_CASE("numbers are read with a decimal point and nothing else", "[cli]") {
  CHECK(number_from("--a", "12.5") == 12.5);
  CHECK(number_from("--a", "-3") == -3);
  CHECK(number_from("--a", "1e2") == 100);
  for (const char* wrong : {"", "1,5", "12.5mm", "nan", "inf", "0x10", " 1", "1 ", "--"}) {
    CAPTURE(wrong);
    CHECK_THROWS_WITH(number_from("--a", wrong), Catch::Contains("--a wants a number"));
  }
}

TEST_CASE("sizes are width x height, both above zero", "[cli]") {
  CHECK(size_from("--board-mm", "160x99.1") == cv::Size2d(160, 99.1));
  CHECK(size_from("--board-mm", "160X99.1") == cv::Size2d(160, 99.1));
  for (const char* wrong : {"160", "160x", "x99", "160x-1", "0x99", "160x99x2", "160,99", "axb"}) {
    CAPTURE(wrong);
    CHECK_THROWS_WITH(size_from("--board-mm", wrong), Catch::Contains("--board-mm"));
  }
}

TEST_CASE("counts of chessboard corners are whole numbers", "[cli]") {
  CHECK(whole_size_from("--inner-corners", "9x6") == cv::Size(9, 6));
  for (const char* wrong : {"9.5x6", "0x6", "9x1e9", "9"}) {
    CAPTURE(wrong);
    CHECK_THROWS_AS(whole_size_from("--inner-corners", wrong), Error);
  }
}

TEST_CASE("points are x,y and may lie off the photo", "[cli]") {
  CHECK(point_from("--points", "812,40.5") == cv::Point2d(812, 40.5));
  CHECK(point_from("--points", "-3,0") == cv::Point2d(-3, 0));
  for (const char* wrong : {"812", "812;40", "812,", ",40", "a,b", "1,2,3"}) {
    CAPTURE(wrong);
    CHECK_THROWS_WITH(point_from("--points", wrong), Catch::Contains("x,y"));
  }
}

TEST_CASE("the progress line stays within its bounds", "[cli]") {
  CHECK(progress_line("Surveying", 0) == "Surveying  [..............................]   0 %");
  CHECK(progress_line("Surveying", 0.5) == "Surveying  [###############...............]  50 %");
  CHECK(progress_line("Surveying", 7) == "Surveying  [##############################] 100 %");
  CHECK(progress_line("Surveying", std::nan("")) == progress_line("Surveying", 0));
}
