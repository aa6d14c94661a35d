#include "report/canvas.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

using namespace verdigrid;

namespace {

constexpr Ink k_white{1, 1, 1, 1};
constexpr Ink k_black{0, 0, 0, 1};

cv::Mat grey(const Canvas& canvas) {
  cv::Mat g;
  cv::cvtColor(canvas.bgr(), g, cv::COLOR_BGR2GRAY);
  return g;
}

int dark_pixels(const Canvas& canvas) { return cv::countNonZero(grey(canvas) < 128); }

}  // namespace

TEST_CASE("a canvas is paper until something is drawn", "[report]") {
  const Canvas canvas({40, 30}, {1, 0, 0, 1});
  const cv::Mat bgr = canvas.bgr();
  CHECK(bgr.size() == cv::Size(40, 30));
  CHECK(bgr.type() == CV_8UC3);
  CHECK(cv::norm(bgr, cv::Mat(30, 40, CV_8UC3, cv::Scalar(0, 0, 255)), cv::NORM_INF) == 0);
}

TEST_CASE("a canvas larger than the drawing library can hold is refused", "[report]") {
  CHECK_THROWS_AS(Canvas({40000, 10}, k_white), Error);
  CHECK_THROWS_AS(Canvas({0, 10}, k_white), Error);
}

TEST_CASE("a filled box covers exactly its pixels", "[report]") {
  Canvas canvas({40, 30}, k_white);
  canvas.fill(cv::Rect2d(5, 6, 10, 7), k_black);
  CHECK(dark_pixels(canvas) == 70);
  CHECK(grey(canvas).at<uchar>(6, 5) == 0);
  CHECK(grey(canvas).at<uchar>(5, 5) == 255);
}

TEST_CASE("a hole in a filled area stays paper", "[report]") {
  Canvas canvas({60, 60}, k_white);
  const Polygon polygon{{{10, 10}, {50, 10}, {50, 50}, {10, 50}},
                        {{{20, 20}, {40, 20}, {40, 40}, {20, 40}}}};
  canvas.fill(std::vector<Polygon>{polygon}, k_black);
  CHECK(dark_pixels(canvas) == 40 * 40 - 20 * 20);
}

TEST_CASE("nothing is drawn outside a clip", "[report]") {
  Canvas canvas({60, 60}, k_white);
  canvas.clip_to(cv::Rect2d(0, 0, 30, 60));
  canvas.fill(cv::Rect2d(0, 0, 60, 60), k_black);
  canvas.release();
  CHECK(dark_pixels(canvas) == 30 * 60);
  canvas.fill(cv::Rect2d(0, 0, 60, 60), k_black);
  CHECK(dark_pixels(canvas) == 60 * 60);
}

TEST_CASE("every hatch differs from every other without colour", "[report]") {
  const Hatching all[] = {Hatching::rising,  Hatching::level,   Hatching::dots,
                          Hatching::crossed, Hatching::upright, Hatching::squares,
                          Hatching::falling, Hatching::pluses};
  std::vector<cv::Mat> pictures;
  for (const Hatching hatch : all) {
    Canvas canvas({96, 96}, k_white);
    canvas.hatch(cv::Rect2d(0, 0, 96, 96), hatch, k_black, 12);
    pictures.push_back(grey(canvas));
    CHECK(dark_pixels(canvas) > 96);
    CHECK(dark_pixels(canvas) < 96 * 96 / 2);
  }
  for (size_t i = 0; i < pictures.size(); ++i)
    for (size_t j = i + 1; j < pictures.size(); ++j) {
      const cv::Mat differs = cv::abs(pictures[i] - pictures[j]) > 96;
      CHECK(cv::countNonZero(differs) > 96 * 96 / 20);
    }
}

TEST_CASE("a hatch has no seams between its tiles", "[report]") {
  Canvas canvas({48, 48}, k_white);
  canvas.hatch(cv::Rect2d(0, 0, 48, 48), Hatching::rising, k_black, 12);
  const cv::Mat g = grey(canvas);
  // A rising line keeps x + y: every pixel equals its neighbour one up and one to the right.
  const double worst = cv::norm(g(cv::Rect(0, 1, 47, 47)), g(cv::Rect(1, 0, 47, 47)), cv::NORM_INF);
  CHECK(worst <= 17);  // coverage is counted in about fifteenths of a pixel
}

TEST_CASE("text is set at its anchor", "[report]") {
  const TextStyle style{20, Weight::bold, k_black};
  for (const Anchor anchor : {Anchor::left, Anchor::centre, Anchor::right}) {
    Canvas canvas({200, 40}, k_white);
    canvas.text("C6", {100, 5}, style, anchor);
    const cv::Rect ink = cv::boundingRect(grey(canvas) < 128);
    CHECK(ink.width > 15);
    if (anchor == Anchor::left) CHECK(ink.x >= 100);
    if (anchor == Anchor::centre) CHECK(std::abs(ink.x + ink.width / 2 - 100) <= 3);
    if (anchor == Anchor::right) CHECK(ink.x + ink.width <= 101);
  }
}

TEST_CASE("text too long for its width ends in an ellipsis on its last line", "[report]") {
  Canvas canvas({400, 100}, k_white);
  TextStyle style{16, Weight::regular, k_black, 120, 2};
  const std::string text = "a sentence that is much too long to stand on two short lines";
  const cv::Size2d size = canvas.text_size(text, style);
  CHECK(size.width <= 120.5);
  CHECK(size.height < 3 * 16 * 1.3);
  canvas.text(text, {10, 10}, style);
  const cv::Rect ink = cv::boundingRect(grey(canvas) < 128);
  CHECK(ink.x + ink.width <= 131);
}

TEST_CASE("text that is not UTF-8 is drawn with replacement signs", "[report]") {
  Canvas canvas({200, 40}, k_white);
  canvas.text("board \xff\xfe.jpg", {5, 5}, {16, Weight::regular, k_black});
  CHECK(dark_pixels(canvas) > 50);
}

TEST_CASE("ink on a ground is black on light and white on dark", "[report]") {
  CHECK(ink_on({0.94, 0.89, 0.26, 1}).r < 0.5);
  CHECK(ink_on({0, 0.45, 0.70, 1}).r > 0.5);
}
