#include "desk/pyramid.h"

#include <catch2/catch.hpp>

#include "base/error.h"

using namespace verdigrid;

TEST_CASE("a one-pixel finding is seen on every level") {
  cv::Mat labels(3001, 4001, CV_8UC1, cv::Scalar(0));
  labels.at<uchar>(3000, 4000) = 3;
  labels.at<uchar>(17, 23) = 5;
  const Pyramid p = pyramid_of(labels, Reduce::nonzero);
  CHECK(p.level_count() == 4);
  for (const cv::Mat& level : p.levels) CHECK(cv::countNonZero(level) == 2);
  CHECK(p.levels.back().at<uchar>(17 / 8, 23 / 8) == 5);
}

TEST_CASE("labels are never averaged: the more frequent id stays, then the smaller") {
  const cv::Mat labels = (cv::Mat_<uchar>(2, 4) << 4, 4, 6, 2, 1, 0, 0, 0);
  cv::Mat big(1024, 1024, CV_8UC1, cv::Scalar(0));
  labels.copyTo(big(cv::Rect(0, 0, 4, 2)));
  const Pyramid p = pyramid_of(big, Reduce::nonzero);
  CHECK(p.levels[1].at<uchar>(0, 0) == 4);
  CHECK(p.levels[1].at<uchar>(0, 1) == 2);
  CHECK(pyramid_of(big, Reduce::larger).levels[1].at<uchar>(0, 1) == 6);
}

TEST_CASE("a photo keeps its mean over the levels") {
  cv::Mat photo(1024, 2048, CV_8UC3);
  cv::randu(photo, 0, 256);
  const Pyramid p = pyramid_of(photo, Reduce::mean);
  CHECK(p.levels[0].data == photo.data);
  CHECK(std::abs(cv::mean(p.levels.back())[1] - cv::mean(photo)[1]) < 1);
}

TEST_CASE("tiles cover the picture without gap or overlap, with an apron from their neighbours") {
  cv::Mat photo(1100, 1300, CV_8UC3);
  cv::randu(photo, 0, 256);
  const Pyramid p = pyramid_of(photo, Reduce::mean);
  REQUIRE(p.tiles(0) == cv::Size(3, 3));
  double area = 0;
  for (int row = 0; row < 3; ++row)
    for (int column = 0; column < 3; ++column) {
      const cv::Rect2d r = tile_rect_px(p, 0, column, row);
      area += r.area();
      CHECK(tile_pixels(p, 0, column, row).size() == cv::Size(k_tile_px, k_tile_px));
    }
  CHECK(area == 1100.0 * 1300.0);
  const cv::Mat a = tile_pixels(p, 0, 0, 0), b = tile_pixels(p, 0, 1, 0);
  CHECK(cv::norm(a.col(k_tile_px - 1), b.col(1), cv::NORM_INF) == 0);
  CHECK(cv::norm(a.col(k_tile_px - 2), b.col(0), cv::NORM_INF) == 0);
  CHECK(cv::norm(a.col(0), a.col(1), cv::NORM_INF) == 0);
  CHECK_THROWS_AS(tile_pixels(p, 0, 3, 0), Error);
}

TEST_CASE("the level shown lies over half up to one screen pixel") {
  CHECK(level_for(1, 5) == 0);
  CHECK(level_for(0.51, 5) == 0);
  CHECK(level_for(0.5, 5) == 1);
  CHECK(level_for(0.2, 5) == 2);
  CHECK(level_for(0.001, 5) == 4);
  CHECK(level_for(30, 5) == 0);
}

TEST_CASE("a picture of one pixel is one tile, and no picture is refused") {
  const Pyramid p = pyramid_of(cv::Mat(1, 1, CV_8UC1, cv::Scalar(7)), Reduce::larger);
  CHECK(p.level_count() == 1);
  CHECK(tile_pixels(p, 0, 0, 0).at<uchar>(511, 511) == 7);
  CHECK_THROWS_AS(pyramid_of({}, Reduce::larger), Error);
}
