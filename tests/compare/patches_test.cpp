#include "compare/patches.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "compare/warp.h"
#include "tests/compare/texture.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

cv::Mat grey(const cv::Mat& bgr) {
  cv::Mat out;
  cv::cvtColor(bgr, out, cv::COLOR_BGR2GRAY);
  return out;
}

Warp shift(double x, double y) {
  Warp warp;
  warp.second_from_first = {1, 0, x, 0, 1, y, 0, 0, 1};
  return warp;
}

}  // namespace

TEST_CASE("patches find a shift to a fraction of a px") {
  const cv::Mat a = texture({500, 400}, 4);
  const cv::Mat b = viewed(a, {1, 0, 3.4, 0, 1, -2.3, 0, 0, 1}, a.size());
  const auto matches = patch_matches(grey(a), grey(b), shift(0, 0), {}, {});
  REQUIRE(matches.size() > 100);
  cv::Point2d mean;
  size_t good = 0;
  for (const PatchMatch& m : matches) {
    if (m.score < 0.9) continue;
    mean += m.offset_px;
    ++good;
  }
  REQUIRE(good > matches.size() / 2);
  mean = mean * (1.0 / static_cast<double>(good));
  CHECK_THAT(mean.x, WithinAbs(3.4, 0.1));
  CHECK_THAT(mean.y, WithinAbs(-2.3, 0.1));
  const Agreement right =
      agreement_of(patch_matches(grey(a), grey(b), shift(3.4, -2.3), {}, {}), 2, 0.4);
  CHECK(right.share > 0.95);
  CHECK(right.coverage == 1);
  CHECK(right.rms_px < 0.3);
}

TEST_CASE("pictures that have nothing in common agree by chance only") {
  const Agreement chance =
      agreement_of(patch_matches(grey(texture({500, 400}, 5)), grey(texture({500, 400}, 6)),
                                 shift(0, 0), {}, {}),
                   2, 0.4);
  CHECK(chance.patches > 100);
  CHECK(strength(chance) < 0.02);
}

TEST_CASE("flat pictures, the part outside the region and outside the other photo say nothing") {
  const cv::Mat flat(300, 300, CV_8UC1, cv::Scalar(90));
  CHECK(patch_matches(flat, flat, shift(0, 0), {}, {}).empty());
  CHECK(agreement_of({}, 2, 0.4).share == 0);
  const cv::Mat a = grey(texture({300, 300}, 4));
  const Polygon half{{{0, 0}, {150, 0}, {150, 300}, {0, 300}}, {}};
  for (const PatchMatch& m : patch_matches(a, a, shift(0, 0), half, {})) CHECK(m.first_px.x <= 150);
  CHECK(patch_matches(a, a, shift(1000, 0), {}, {}).empty());
  CHECK(patch_matches(cv::Mat(5, 5, CV_8UC1, cv::Scalar(0)), a, shift(0, 0), {}, {}).empty());
}

TEST_CASE("wrong patch options name their field") {
  PatchOptions options;
  options.side_px = 32;
  CHECK_THROWS_WITH(options.check(), Contains("side_px"));
  options = {};
  options.search_px = 0;
  CHECK_THROWS_WITH(options.check(), Contains("search_px"));
}
