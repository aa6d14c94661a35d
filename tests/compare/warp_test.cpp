#include "compare/warp.h"

#include <catch2/catch.hpp>
#include <random>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_hundredth_px = 0.01;
// Wrong pairs that happen to lie near the truth pull a little.
constexpr double k_pulled_px = 0.2;

Warp bent_warp() {
  Warp warp;
  warp.second_from_first = {1.1, 0.05, 20, -0.04, 0.95, 10, 1e-5, -2e-5, 1};
  warp.centre_px = {500, 400};
  warp.scale_px = 500;
  warp.bend[3] = {2, -1};
  warp.bend[6] = {4, 0};
  warp.bend[9] = {0, -3};
  return warp;
}

std::vector<PointPair> pairs_of(const Warp& warp, int wrong) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> x(0, 1000), y(0, 800), off(-40, 40);
  std::vector<PointPair> pairs;
  for (int i = 0; i < 400; ++i) {
    const cv::Point2d p(x(random), y(random));
    cv::Point2d q = warp(p);
    if (i < wrong) q += cv::Point2d(off(random), off(random));
    pairs.push_back({p, q, 1});
  }
  return pairs;
}

double worst(const Warp& a, const Warp& b) {
  double most = 0;
  for (double y = 0; y <= 800; y += 100)
    for (double x = 0; x <= 1000; x += 100)
      most = std::max(most, cv::norm(a(cv::Point2d(x, y)) - b(cv::Point2d(x, y))));
  return most;
}

}  // namespace

TEST_CASE("a homography is fitted through wrong pairs") {
  Warp truth = bent_warp();
  truth.bend = {};
  Warp start = truth;
  start.second_from_first(0, 2) += 4;
  start.second_from_first(1, 1) *= 1.004;
  const Warp fit = fitted_warp(pairs_of(truth, 120), start, 12, Bends::no);
  CHECK_FALSE(fit.is_bent());
  CHECK_THAT(worst(fit, truth), WithinAbs(0, k_pulled_px));
  const Warp clean = fitted_warp(pairs_of(truth, 0), start, 12, Bends::no);
  CHECK_THAT(worst(clean, truth), WithinAbs(0, k_hundredth_px));
}

TEST_CASE("a bend that a homography cannot hold is fitted") {
  const Warp truth = bent_warp();
  Warp start = truth;
  start.bend = {};
  const std::vector<PointPair> pairs = pairs_of(truth, 80);
  CHECK(worst(fitted_warp(pairs, start, 12, Bends::no), truth) > 1);
  CHECK_THAT(worst(fitted_warp(pairs, start, 12, Bends::yes), truth), WithinAbs(0, k_pulled_px));
}

TEST_CASE("too few pairs leave the warp as it was") {
  const Warp start = bent_warp();
  CHECK(worst(fitted_warp({}, start, 5, Bends::yes), start) == 0);
}

TEST_CASE("a warp is undone and follows resized photos") {
  const Warp warp = bent_warp();
  for (const cv::Point2d& p : {cv::Point2d(0, 0), cv::Point2d(700, 300), cv::Point2d(1000, 800)}) {
    CHECK_THAT(cv::norm(unwarped(warp, warp(p)) - p), WithinAbs(0, k_hundredth_px));
    const Warp half = rescaled(warp, 0.5, 0.25);
    const cv::Point2d q = warp(p);
    const cv::Point2d p_half = (p + cv::Point2d(0.5, 0.5)) * 0.5 - cv::Point2d(0.5, 0.5);
    const cv::Point2d q_quarter = (q + cv::Point2d(0.5, 0.5)) * 0.25 - cv::Point2d(0.5, 0.5);
    CHECK_THAT(cv::norm(half(p_half) - q_quarter), WithinAbs(0, k_hundredth_px));
  }
}
