// Edge width against drawn edges of known blur.
#include "photo/focus.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

using namespace verdigrid;

namespace {

// A checkerboard, turned by 5 degrees so that edges fall on every sub-pixel place, blurred by
// `sigma_px` and sampled by square pixels, which add the variance 1 / 12.
cv::Mat blurred_checks(double sigma_px, double noise) {
  constexpr int k_fine = 4, k_size = 320, k_square = 28;
  cv::Mat fine(k_size * k_fine, k_size * k_fine, CV_32FC1);
  const double cosine = std::cos(5 * std::numbers::pi / 180);
  const double sine = std::sin(5 * std::numbers::pi / 180);
  for (int y = 0; y < fine.rows; ++y)
    for (int x = 0; x < fine.cols; ++x) {
      const double u = (cosine * x - sine * y) / k_fine / k_square;
      const double v = (sine * x + cosine * y) / k_fine / k_square;
      const bool is_light = (static_cast<int>(std::floor(u)) + static_cast<int>(std::floor(v))) & 1;
      fine.at<float>(y, x) = is_light ? 190.0F : 60.0F;
    }
  if (sigma_px > 0) cv::GaussianBlur(fine, fine, {}, sigma_px * k_fine);
  cv::Mat out, dots(k_size, k_size, CV_32FC1);
  cv::resize(fine, out, dots.size(), 0, 0, cv::INTER_AREA);
  cv::RNG random(7);
  random.fill(dots, cv::RNG::NORMAL, 0.0, noise);
  out += dots;
  out.convertTo(out, CV_8U);
  cv::cvtColor(out, out, cv::COLOR_GRAY2BGR);
  return out;
}

double median_sigma(const cv::Mat& bgr) {
  std::vector<float> all;
  for (const float sigma : cv::Mat_<float>(focus_map(bgr).sigma_px))
    if (sigma > 0) all.push_back(sigma);
  REQUIRE(all.size() > 4);
  std::nth_element(all.begin(), all.begin() + static_cast<long>(all.size() / 2), all.end());
  return all[all.size() / 2];
}

}  // namespace

TEST_CASE("the width of a Gaussian edge is measured", "[photo]") {
  for (const double sigma : {0.7, 1.0, 1.5, 2.0, 3.0, 4.0}) {
    CAPTURE(sigma);
    const double expected = std::sqrt(sigma * sigma + 1.0 / 12);
    // The sharpest third of the edges is taken, which lies a little below the mean.
    CHECK_THAT(median_sigma(blurred_checks(sigma, 0)), Catch::WithinRel(expected, 0.10));
  }
}

TEST_CASE("noise of a dim photo moves the width little", "[photo]") {
  // 4 levels of 255 are the noise of a phone by lamp light: common practice, no source.
  for (const double sigma : {1.0, 2.0, 3.0}) {
    CAPTURE(sigma);
    CHECK_THAT(median_sigma(blurred_checks(sigma, 4)),
               Catch::WithinRel(std::sqrt(sigma * sigma + 1.0 / 12), 0.25));
  }
}

TEST_CASE("sampling efficiency and MTF50 follow the Gaussian transfer function", "[photo]") {
  const auto mtf = [](double sigma, double f) {
    return std::exp(-2 * std::numbers::pi * std::numbers::pi * sigma * sigma * f * f);
  };
  for (const double sigma : {0.8, 1.0, 2.5}) {
    CHECK_THAT(mtf(sigma, 0.5 * sampling_efficiency(sigma)), Catch::WithinAbs(0.1, 1e-9));
    CHECK_THAT(mtf(sigma, mtf50_cycles_per_px(sigma)), Catch::WithinAbs(0.5, 1e-9));
  }
  CHECK_THAT(mtf50_cycles_per_px(1), Catch::WithinAbs(0.1874, 5e-5));
  CHECK(sampling_efficiency(0.1) == 1);
}

TEST_CASE("a photo without edges has no focus", "[photo]") {
  const cv::Mat flat(300, 300, CV_8UC3, cv::Scalar(90, 120, 60));
  CHECK(cv::countNonZero(focus_map(flat).sigma_px) == 0);
  const cv::Mat tiny(1, 1, CV_8UC3, cv::Scalar(90, 120, 60));
  CHECK(focus_map(tiny).sigma_px.size() == cv::Size(1, 1));
}

TEST_CASE("measuring focus can be stopped", "[photo]") {
  std::stop_source stop;
  stop.request_stop();
  CHECK_THROWS_AS(focus_map(blurred_checks(1, 0), {stop.get_token(), {}}), Error);
}
