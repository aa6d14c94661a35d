#include "compare/patch_score.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/error.h"
#include "tests/compare/texture.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

cv::Mat grey_texture(cv::Size size, unsigned seed) {
  cv::Mat grey;
  cv::cvtColor(texture(size, seed), grey, cv::COLOR_BGR2GRAY);
  return grey;
}

// By the definition of the correlation.
double score_at(const cv::Mat& patch, const cv::Mat& window, cv::Point at) {
  const cv::Mat seen = window(cv::Rect(at, patch.size()));
  const double mean_patch = cv::mean(patch)[0], mean_seen = cv::mean(seen)[0];
  double both = 0, one = 0, other = 0;
  for (int y = 0; y < patch.rows; ++y)
    for (int x = 0; x < patch.cols; ++x) {
      const double a = patch.at<uchar>(y, x) - mean_patch, b = seen.at<uchar>(y, x) - mean_seen;
      both += a * b;
      one += a * a;
      other += b * b;
    }
  return one * other > 0 ? both / std::sqrt(one * other) : 0;
}

}  // namespace

TEST_CASE("a patch's scores are the correlation at every place of patches of any size") {
  for (const cv::Size size : {cv::Size(17, 17), cv::Size(33, 33), cv::Size(8, 5), cv::Size(1, 9),
                              cv::Size(40, 23), cv::Size(50, 40)}) {
    const cv::Mat window = grey_texture({50, 40}, 7);
    const cv::Mat patch = grey_texture(size, 8);
    const cv::Mat scores = patch_scores(patch, window);
    REQUIRE(scores.size() == window.size() - size + cv::Size(1, 1));
    for (int y = 0; y < scores.rows; y += 3)
      for (int x = 0; x < scores.cols; ++x)
        CHECK_THAT(scores.at<float>(y, x), WithinAbs(score_at(patch, window, {x, y}), 1e-5));
  }
}

TEST_CASE("a patch fits best where it was cut out, also the brightest and largest one") {
  const cv::Mat window = grey_texture({90, 80}, 9);
  cv::Point best;
  cv::minMaxLoc(patch_scores(window(cv::Rect(31, 12, 17, 17)), window), nullptr, nullptr, nullptr,
                &best);
  CHECK(best == cv::Point(31, 12));
  cv::Mat bright(181, 181, CV_8UC1, cv::Scalar(255));
  bright(cv::Rect(40, 50, 3, 3)).setTo(254);
  CHECK_THAT(patch_scores(bright, bright).at<float>(0, 0), WithinAbs(1, 1e-5));
}

TEST_CASE("a flat patch or a flat place has no score, and a patch fits into its window") {
  const cv::Mat flat(20, 20, CV_8UC1, cv::Scalar(90)), window = grey_texture({30, 30}, 3);
  CHECK(cv::norm(patch_scores(flat, window), cv::NORM_INF) == 0);
  CHECK(cv::norm(patch_scores(window(cv::Rect(0, 0, 9, 9)), flat), cv::NORM_INF) == 0);
  CHECK_THROWS_AS(patch_scores(window, flat), Error);
}
