#include "rectify/outline.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "photo/decode.h"
#include "synthetic/shot.h"
#include "tests/rectify/known_camera.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;

namespace {

const std::filesystem::path k_pictures = "/usr/share/doc/opencv-doc/examples/data";

cv::Mat drawn(const Ring& ring, cv::Size size) {
  cv::Mat mask(size, CV_8UC1, cv::Scalar(0));
  std::vector<cv::Point> points;
  for (const cv::Point2d p : ring)
    points.emplace_back(static_cast<int>(std::lround(p.x)), static_cast<int>(std::lround(p.y)));
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, 255);
  return mask;
}

double overlap(const Ring& a, const Ring& b, cv::Size size) {
  const cv::Mat x = drawn(a, size), y = drawn(b, size);
  return cv::countNonZero(x & y) / static_cast<double>(cv::countNonZero(x | y));
}

synthetic::Shot rendered(int i) {
  synthetic::CameraSpec camera =
      synthetic::random_camera(static_cast<std::uint64_t>(i), {960, 720});
  camera.background = static_cast<synthetic::Background>(i % synthetic::k_background_count);
  camera.fill = 0.8;
  return synthetic::shot(synthetic::random_board(static_cast<std::uint64_t>(i)), camera);
}

// A board photo that the finder answers, to paste and crop.
synthetic::Shot plain_board(std::uint64_t seed) {
  synthetic::CameraSpec camera = synthetic::random_camera(seed, {640, 480});
  camera.background = synthetic::Background::paper;
  camera.fill = 0.7;
  camera.glare = 0;
  return synthetic::shot(synthetic::random_board(seed), camera);
}

}  // namespace

TEST_CASE("rendered boards on all backgrounds are outlined or refused, never wrongly outlined",
          "[slow]") {
  constexpr int k_boards = 30;
  int answered = 0;
  std::vector<double> overlaps;
  for (int i = 0; i < k_boards; ++i) {
    const synthetic::Shot s = rendered(i);
    const OutlineAnswer answer = find_outline(photo_of(s));
    CAPTURE(i, s.truth.outline_px.outer.size(), answer.reason);
    overlaps.push_back(0);
    if (!answer.outline) {
      CHECK(answer.fault != OutlineFault::none);
      CHECK_FALSE(answer.reason.empty());
      continue;
    }
    ++answered;
    overlaps.back() = overlap(answer.outline->px.outer, s.truth.outline_px.outer, s.bgr.size());
    CHECK(overlaps.back() >= 0.90);
    CHECK(signed_area(answer.outline->px.outer) > 0);
    CHECK(answer.outline->confidence >= OutlineOptions().least_confidence);
  }
  std::sort(overlaps.begin(), overlaps.end());
  CHECK(answered >= 0.7 * k_boards);
  CHECK(overlaps[k_boards / 2] >= 0.95);
}

TEST_CASE("the outline does not depend on the number of threads") {
  const Photo photo = photo_of(plain_board(3));
  const int threads = cv::getNumThreads();
  cv::setNumThreads(1);
  const OutlineAnswer one = find_outline(photo);
  cv::setNumThreads(2);
  const OutlineAnswer two = find_outline(photo);
  cv::setNumThreads(threads);
  REQUIRE(one.outline.has_value() == two.outline.has_value());
  if (one.outline) CHECK(one.outline->px.outer == two.outline->px.outer);
}

TEST_CASE("photos without a board are not given an outline") {
  const char* file = GENERATE("fruits.jpg", "baboon.jpg", "messi5.jpg", "building.jpg", "aloeL.jpg",
                              "home.jpg", "apple.jpg", "gradient.png");
  INFO(file << " of Debian's opencv-doc");
  const OutlineAnswer answer = find_outline(load_photo(k_pictures / file));
  CHECK_FALSE(answer.outline);
  CHECK_FALSE(answer.reason.empty());
}

TEST_CASE("empty desks, blank paper and noise are no boards") {
  Photo photo = plain_photo({800, 600}, {70, 90, 120});
  CHECK_THAT(find_outline(photo).reason, Contains("No"));
  fill(photo.bgr, {{200, 150}, {600, 150}, {600, 450}, {200, 450}}, {245, 245, 245});
  const OutlineAnswer paper = find_outline(photo);
  CHECK_FALSE(paper.outline);
  CHECK(paper.fault == OutlineFault::no_board);
  cv::RNG(5).fill(photo.bgr, cv::RNG::UNIFORM, 0, 255);
  CHECK_FALSE(find_outline(photo).outline);
  CHECK_FALSE(find_outline(plain_photo({40, 30}, {0, 0, 0})).outline);
  CHECK_FALSE(find_outline(plain_photo({4000, 64}, {0, 0, 0})).outline);
}

TEST_CASE("two boards in view are said") {
  const synthetic::Shot one = plain_board(3);
  REQUIRE(find_outline(photo_of(one)).outline);
  Photo both;
  cv::hconcat(one.bgr, one.bgr, both.bgr);
  const OutlineAnswer answer = find_outline(both);
  CHECK_FALSE(answer.outline);
  CHECK(answer.fault == OutlineFault::several_boards);
  CHECK_THAT(answer.reason, Contains("2 boards"));
  CHECK(answer.other_boards.size() == 1);
}

TEST_CASE("a close-up without any background is refused") {
  const synthetic::Shot s = plain_board(3);
  const cv::Rect2d box = bounding_box(s.truth.outline_px.outer);
  Photo close;
  close.bgr = s.bgr(cv::Rect(static_cast<int>(box.x + box.width * 0.2),
                             static_cast<int>(box.y + box.height * 0.2),
                             static_cast<int>(box.width * 0.6), static_cast<int>(box.height * 0.6)))
                  .clone();
  CHECK_FALSE(find_outline(close).outline);
}

TEST_CASE("outline options that make no sense name their field") {
  OutlineOptions options;
  options.working_long_side_px = 10;
  CHECK_THROWS_WITH(options.check(), Contains("working_long_side_px"));
  options = {};
  options.least_confidence = 2;
  CHECK_THROWS_WITH(options.check(), Contains("least_confidence"));
  options = {};
  options.least_area_share = 0;
  CHECK_THROWS_WITH(options.check(), Contains("least_area_share"));
  options = {};
  options.rival_area_ratio = 0;
  CHECK_THROWS_WITH(options.check(), Contains("rival_area_ratio"));
}

TEST_CASE("a stop that was asked for ends outline finding") {
  std::stop_source source;
  source.request_stop();
  try {
    find_outline(plain_photo({800, 600}, {1, 2, 3}), {}, Work{source.get_token(), {}});
    FAIL("went on");
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::interrupted);
  }
}
