#include "detect/forest.h"

#include <catch2/catch.hpp>

#include "base/error.h"

using namespace verdigrid;

namespace {

// Two clouds in the plane, the third feature is noise.
std::vector<Sample> clouds(int n, cv::RNG& rng) {
  std::vector<Sample> samples;
  for (int i = 0; i < n; ++i) {
    const int label = i % 2 == 0 ? 0 : 3;
    const double x = label == 0 ? 0 : 4;
    samples.push_back(
        {{static_cast<float>(x + rng.gaussian(1)), static_cast<float>(-x + rng.gaussian(1)),
          static_cast<float>(rng.gaussian(5))},
         label,
         1});
  }
  return samples;
}

cv::Mat rows_of(const std::vector<Sample>& samples) {
  cv::Mat rows(static_cast<int>(samples.size()), 3, CV_32FC1);
  for (int i = 0; i < rows.rows; ++i)
    for (int c = 0; c < 3; ++c)
      rows.at<float>(i, c) =
          samples[static_cast<std::size_t>(i)].features[static_cast<std::size_t>(c)];
  return rows;
}

}  // namespace

TEST_CASE("a forest tells two clouds apart on points it has not seen", "[detect][forest]") {
  cv::RNG rng(11);
  const Forest forest(clouds(60, rng), {});
  const auto test = clouds(400, rng);
  const auto shares = forest.shares(rows_of(test));
  int right = 0;
  for (std::size_t i = 0; i < test.size(); ++i)
    right += (shares[i][3] > 0.5F) == (test[i].label == 3);
  CHECK(right > 380);  // the best possible rule errs on 0.2 %
}

TEST_CASE("shares sum to one and do not depend on the number of threads", "[detect][forest]") {
  cv::RNG rng(5);
  const auto samples = clouds(50, rng);
  const cv::Mat rows = rows_of(samples);
  const int threads = cv::getNumThreads();
  const auto many = Forest(samples, {}).shares(rows);
  cv::setNumThreads(1);
  const auto single = Forest(samples, {}).shares(rows);
  cv::setNumThreads(threads);
  CHECK(many == single);
  for (const auto& s : many) {
    double sum = 0;
    for (const float v : s) sum += static_cast<double>(v);
    CHECK(sum == Approx(1).margin(1e-4));
  }
}

TEST_CASE("weights decide between samples at one point", "[detect][forest]") {
  const std::vector<Sample> samples{{{1, 2, 3}, 0, 1}, {{1, 2, 3}, 4, 9}};
  ForestOptions options;
  options.prior_weight = 0;
  const auto shares = Forest(samples, options).shares(rows_of(samples));
  CHECK(shares[0][4] == Approx(0.9));
}

TEST_CASE("a forest of no trees is refused", "[detect][forest]") {
  ForestOptions options;
  options.trees = 0;
  CHECK_THROWS_AS(options.check(), Error);
}
