#include <catch2/catch.hpp>
#include <filesystem>
#include <opencv2/core/utility.hpp>

#include "base/error.h"
#include "detect/detector.h"
#include "detect/working_image.h"
#include "drawn_board.h"
#include "photo/decode.h"

using namespace verdigrid;
using test::drawn_board;
using test::Salt;

namespace {

ResidueMap map_of(const test::DrawnBoard& board, Setting setting = Setting::normal) {
  return first_method()->residue_map(board.photo, board.rectification, {setting}, {});
}

bool same(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() && cv::countNonZero(a != b) == 0;
}

}  // namespace

TEST_CASE("the first method finds a salt on a green board and nothing else", "[detect][first]") {
  const auto board = drawn_board(Salt::one);
  const auto map = map_of(board);
  REQUIRE(map.labels.size() == board.photo.size_px());
  REQUIRE(map.confidence.size() == board.photo.size_px());
  const cv::Mat flagged = map.labels > 0;
  const int hits = cv::countNonZero(flagged & board.truth);
  CHECK(hits > 0.5 * cv::countNonZero(board.truth));
  cv::Mat near;
  cv::dilate(board.truth, near, cv::Mat::ones(15, 15, CV_8UC1));
  CHECK(cv::countNonZero(flagged & ~near) == 0);
  CHECK(cv::countNonZero((map.labels != static_cast<int>(Residue::copper_salt)) & flagged) == 0);
}

TEST_CASE("the first method is silent on the board without the salt", "[detect][first]") {
  CHECK(cv::countNonZero(map_of(drawn_board(Salt::none), Setting::show_more).labels) == 0);
}

TEST_CASE("nothing is flagged or suspected outside the outline", "[detect][first]") {
  auto board = drawn_board(Salt::one);
  board.rectification.outline_px.outer = {{380, 20}, {979, 20}, {979, 679}, {380, 679}};
  const auto map = map_of(board, Setting::show_more);
  CHECK(cv::countNonZero(map.labels.colRange(0, 380)) == 0);
  CHECK(cv::countNonZero(map.confidence.colRange(0, 380)) == 0);
}

TEST_CASE("the map does not depend on the number of threads", "[detect][first]") {
  const auto board = drawn_board(Salt::one);
  const int threads = cv::getNumThreads();
  const auto many = map_of(board);
  cv::setNumThreads(1);
  const auto single = map_of(board);
  cv::setNumThreads(threads);
  CHECK(same(many.labels, single.labels));
  CHECK(same(many.confidence, single.confidence));
}

TEST_CASE("showing less never flags what normal does not", "[detect][first]") {
  const auto board = drawn_board(Salt::one);
  const cv::Mat less = map_of(board, Setting::show_less).labels > 0;
  const cv::Mat normal = map_of(board).labels > 0;
  const cv::Mat more = map_of(board, Setting::show_more).labels > 0;
  CHECK(cv::countNonZero(less & ~normal) == 0);
  CHECK(cv::countNonZero(normal & ~more) == 0);
}

TEST_CASE("tiny and flat photos are surveyed without findings", "[detect][first]") {
  for (const cv::Size size : {cv::Size(1, 1), cv::Size(3, 1), cv::Size(1, 900), cv::Size(64, 64)}) {
    Photo photo;
    photo.bgr = cv::Mat(size, CV_8UC3, cv::Scalar(60, 120, 60));
    Rectification frame;
    frame.outline_is_frame = true;
    const auto map = first_method()->residue_map(photo, frame, {}, {});
    CHECK(map.labels.size() == size);
    CHECK(cv::countNonZero(map.labels) == 0);
  }
}

TEST_CASE("a stop is obeyed", "[detect][first]") {
  const auto board = drawn_board(Salt::none);
  std::stop_source source;
  source.request_stop();
  CHECK_THROWS_AS(
      first_method()->residue_map(board.photo, board.rectification, {}, {source.get_token(), {}}),
      Error);
}

TEST_CASE("the working Lab is that of the formulas before white balance", "[detect][working]") {
  Photo photo;
  photo.bgr = cv::Mat(40, 40, CV_8UC3, cv::Scalar(37, 66, 166));
  Rectification frame;
  frame.outline_is_frame = true;
  const auto image = working_image(photo, frame);
  const auto expected = lab_from_srgb({166 / 255.0, 66 / 255.0, 37 / 255.0});
  const auto lab = image.lab.at<cv::Vec3f>(20, 20);
  // Table of 4096 steps with linear interpolation: below 0.05 in every coordinate.
  CHECK(lab[0] == Approx(expected.L).margin(0.05));
  CHECK(lab[1] == Approx(expected.a - image.white_shift.a).margin(0.05));
  CHECK(lab[2] == Approx(expected.b - image.white_shift.b).margin(0.05));
}

TEST_CASE("the working image keeps to its limits", "[detect][working]") {
  Photo photo;
  photo.bgr = cv::Mat(2003, 3001, CV_8UC3, cv::Scalar(60, 120, 60));
  Rectification r;
  r.outline_is_frame = true;
  auto image = working_image(photo, r);
  CHECK(static_cast<double>(image.bgr.total()) <= k_working_pixels);
  CHECK(image.factor == 3);
  r.px_per_mm = Interval{60, 59, 61};
  image = working_image(photo, r);
  CHECK(*image.px_per_mm <= k_working_px_per_mm);
  cv::Mat map(image.bgr.size(), CV_8UC1, cv::Scalar(9));
  CHECK(at_photo_size(map, image).size() == photo.size_px());
  CHECK(cv::countNonZero(at_photo_size(map, image) != 9) == 0);
}

TEST_CASE("a photographed clean green board is left alone", "[detect][first]") {
  // board.jpg of Debian's opencv-doc package: a bare green board, nothing on it.
  const std::filesystem::path path = "/usr/share/doc/opencv-doc/examples/data/board.jpg";
  INFO("install opencv-doc with its documentation: " << path);
  REQUIRE(std::filesystem::exists(path));
  const Photo photo = load_photo(path);
  Rectification frame;
  frame.photo_size_px = photo.size_px();
  frame.outline_is_frame = true;
  const auto map = first_method()->residue_map(photo, frame, {}, {});
  const double share =
      static_cast<double>(cv::countNonZero(map.labels)) / static_cast<double>(map.labels.total());
  CHECK(share < 0.0005);  // 0.05 % of the area
}
