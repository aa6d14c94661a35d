#include "report/photo_view.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

TEST_CASE("a pixel of the photo is shown where canvas_point says, for every turn", "[report]") {
  cv::Mat bgr(30, 40, CV_8UC3, cv::Scalar(0, 0, 0));
  const cv::Point marked(33, 7);
  bgr.at<cv::Vec3b>(marked) = {255, 255, 255};
  const int turn = GENERATE(0, 90, 180, 270);
  const PhotoView view{cv::Rect(10, 5, 28, 20), turn, 1, {0, 0}};
  const cv::Mat shown = shown_picture(bgr, view);
  CHECK(shown.size() == view.shown_size());
  const cv::Point2d middle = canvas_point(view, marked);
  const cv::Point at(static_cast<int>(std::floor(middle.x)),
                     static_cast<int>(std::floor(middle.y)));
  CHECK(shown.at<cv::Vec3b>(at) == cv::Vec3b(255, 255, 255));
}

TEST_CASE("a quarter turn runs clockwise", "[report]") {
  const PhotoView view{cv::Rect(0, 0, 40, 30), 90, 1, {0, 0}};
  CHECK(view.shown_size() == cv::Size(30, 40));
  // The photo's top left corner stands at the top right.
  const cv::Point2d corner = canvas_point(view, {-0.5, -0.5});
  CHECK(corner.x == Approx(30));
  CHECK(corner.y == Approx(0).margin(1e-12));
}

TEST_CASE("a reduced view covers the whole picture", "[report]") {
  const PhotoView view{cv::Rect(0, 0, 400, 300), 0, 0.25, {8, 9}};
  CHECK(view.shown_box() == cv::Rect(8, 9, 100, 75));
  const cv::Point2d end = canvas_point(view, {399.5, 299.5});
  CHECK(end.x == Approx(108));
  CHECK(end.y == Approx(84));
}
