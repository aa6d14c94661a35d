#include "detect/network_regions.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace verdigrid;

namespace {

NetworkModel model_with(NetworkRule rule) {
  NetworkModel m;
  m.class_choice.factors = {1, 1, 1};
  m.classes = {Residue::none, Residue::copper_salt, Residue::eaten_copper};
  m.rules[Setting::normal] = rule;
  return m;
}

// A map of 100 x 100 px with a patch of 10 x 10 at (10, 10) and one of 4 x 4 at (60, 60).
cv::Mat two_patches(float first, float second) {
  cv::Mat map(100, 100, CV_32FC1, cv::Scalar(0.01));
  map(cv::Rect(10, 10, 10, 10)).setTo(first);
  map(cv::Rect(60, 60, 4, 4)).setTo(second);
  return map;
}

std::vector<cv::Mat> shares_of(const cv::Mat& residue, double copper_part) {
  return {1 - residue, residue * copper_part, residue * (1 - copper_part)};
}

int kept_px(const NetworkModel& m, const cv::Mat& residue, double copper_part = 1) {
  return cv::countNonZero(
      kept_regions(m, Setting::normal, residue, shares_of(residue, copper_part)));
}

}  // namespace

TEST_CASE("regions are kept by their peak and area", "[detect][trained]") {
  const auto map = two_patches(0.8F, 0.4F);
  CHECK(kept_px(model_with({0.1, 0.3, 12, 0, 0}), map) == 116);
  CHECK(kept_px(model_with({0.1, 0.5, 12, 0, 0}), map) == 100);
  CHECK(kept_px(model_with({0.1, 0.3, 17, 0, 0}), map) == 100);
  CHECK(kept_px(model_with({0.1, 0.9, 12, 0, 0}), map) == 0);
}

TEST_CASE("without a sure region nothing of the photo is kept", "[detect][trained]") {
  const auto map = two_patches(0.8F, 0.4F);
  CHECK(kept_px(model_with({0.1, 0.3, 12, 0.75, 20}), map) == 116);
  CHECK(kept_px(model_with({0.1, 0.3, 12, 0.85, 20}), map) == 0);
  CHECK(kept_px(model_with({0.1, 0.3, 12, 0.75, 101}), map) == 0);
}

TEST_CASE("a large region of one class alone is no deposit", "[detect][trained]") {
  auto m = model_with({0.1, 0.3, 12, 0, 0});
  m.largest = {{Residue::eaten_copper, 0.6, 0.005}};  // 50 px of 10 000
  const auto map = two_patches(0.8F, 0.4F);
  CHECK(kept_px(m, map, 0.1) == 16);
  CHECK(kept_px(m, map, 0.9) == 116);
}

TEST_CASE("what lies far below its region's peak is not flagged", "[detect][trained]") {
  cv::Mat map = two_patches(0.9F, 0.4F);
  map(cv::Rect(10, 10, 10, 3)).setTo(0.2F);  // log odds 3.6 below the patch's peak
  auto m = model_with({0.1, 0.3, 12, 0, 0});
  CHECK(kept_px(m, map) == 116);
  m.span = 4;
  CHECK(kept_px(m, map) == 116);
  m.span = 3;
  CHECK(kept_px(m, map) == 86);
}

TEST_CASE("the class of a pixel is the likeliest by factor, looked at a little blurred",
          "[detect][trained]") {
  const cv::Mat residue(40, 40, CV_32FC1, cv::Scalar(0.5));
  auto shares = shares_of(residue, 0.4);
  auto m = model_with({0.1, 0.3, 12, 0, 0});
  const auto all_are = [&](Residue r) {
    return cv::countNonZero(likeliest_residues(m, shares) == static_cast<int>(r)) == 1600;
  };
  CHECK(all_are(Residue::eaten_copper));
  m.class_choice.factors[2] = 0.6;
  CHECK(all_are(Residue::copper_salt));
  shares[2].at<float>(20, 20) = 0.9F;  // one px that says otherwise
  CHECK_FALSE(all_are(Residue::copper_salt));
  m.class_choice.blur_px = 2;
  CHECK(all_are(Residue::copper_salt));
}

TEST_CASE("what lies all over the photo is taken off", "[detect][trained]") {
  const PhotoLevel level{0.8, 4};
  const cv::Mat quiet(40, 40, CV_32FC1, cv::Scalar(0.01));
  CHECK(cv::norm(above_photo_level(quiet, level), quiet, cv::NORM_INF) < 1e-6);
  // Log odds of 0.5 are 0, so 4 are taken off: 1 / (1 + e^4).
  const cv::Mat loud(40, 40, CV_32FC1, cv::Scalar(0.5));
  CHECK(above_photo_level(loud, level).at<float>(3, 3) == Approx(1 / (1 + std::exp(4.0))));
}

TEST_CASE("the level of a photo is a quantile in straight lines", "[detect][trained]") {
  cv::Mat map(4, 8, CV_32FC1, cv::Scalar(0.5));  // two values are looked at, one in four columns
  map.at<float>(0, 4) = 0.9F;
  const double odds = std::log(0.9 / 0.1);
  const auto out = above_photo_level(map, {0.25, 0});
  CHECK(out.at<float>(0, 0) == Approx(1 / (1 + std::exp(0.25 * odds))));
}
