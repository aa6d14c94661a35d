// Worked values: the formulas evaluated in double precision outside this program.

#include "plan/learning.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "base/error.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_last_digit = 1e-6;

std::vector<LoggedJob> jobs(const std::vector<double>& minutes, double log_sd) {
  std::vector<LoggedJob> list;
  for (const double m : minutes) list.push_back({std::log(m), log_sd});
  return list;
}

}  // namespace

TEST_CASE("four slow jobs move a belief most of the way") {
  const LogBelief b = updated({std::log(6.0), 0.5}, jobs({9, 8, 11, 10}, 0.4));
  CHECK_THAT(b.log_mean, WithinAbs(2.181869, k_last_digit));
  CHECK_THAT(b.log_mean_sd, WithinAbs(0.185695, k_last_digit));
  const Lognormal next = next_job(b, 0.4);
  CHECK_THAT(next.median(), WithinAbs(8.862856, k_last_digit));
  CHECK_THAT(next.mean(), WithinAbs(9.767988, k_last_digit));
  CHECK_THAT(next.quantile(0.1), WithinAbs(5.036454, k_last_digit));
  CHECK_THAT(next.quantile(0.9), WithinAbs(15.596334, k_last_digit));
}

TEST_CASE("one job moves a belief a part of the way") {
  const LogBelief b = updated({std::log(6.0), 0.5}, jobs({12}, 0.4));
  CHECK_THAT(b.log_mean_sd, WithinAbs(0.312348, k_last_digit));
  const Lognormal next = next_job(b, 0.4);
  CHECK_THAT(next.median(), WithinAbs(9.156007, k_last_digit));
  CHECK_THAT(next.quantile(0.1), WithinAbs(4.777975, k_last_digit));
  CHECK_THAT(next.quantile(0.9), WithinAbs(17.545606, k_last_digit));
  CHECK(updated(LogBelief{1, 2}, {}).log_mean == Approx(1));
}

TEST_CASE("with an unknown spread the next job is Student t") {
  const std::array<double, 4> logs{std::log(9.0), std::log(8.0), std::log(11.0), std::log(10.0)};
  const SpreadBelief b = updated({std::log(6.0), 2, 3, 0.32}, logs);
  CHECK_THAT(b.log_mean, WithinAbs(2.093444, k_last_digit));
  CHECK_THAT(b.weight, WithinAbs(6, k_last_digit));
  CHECK_THAT(b.shape, WithinAbs(5, k_last_digit));
  CHECK_THAT(b.scale, WithinAbs(0.484712, k_last_digit));
  const NextJobT next = next_job(b);
  CHECK_THAT(next.df, WithinAbs(10, k_last_digit));
  CHECK_THAT(next.location, WithinAbs(2.093444, k_last_digit));
  CHECK_THAT(next.scale, WithinAbs(0.336303, k_last_digit));
  // 1.372: the printed table's 90 % point of t with 10 degrees of freedom.
  CHECK_THAT(next.quantile(0.9), WithinAbs(std::exp(2.093444 + 1.372 * 0.336303), 0.01));
}

TEST_CASE("ten jobs in 75 minutes against a word of six") {
  const RateBelief prior{4, 18};
  CHECK_THAT(prior.mean_minutes(), WithinAbs(6, k_last_digit));
  const RateBelief b = updated(prior, 10, 75);
  CHECK_THAT(b.shape, WithinAbs(14, k_last_digit));
  CHECK_THAT(b.minutes, WithinAbs(93, k_last_digit));
  CHECK_THAT(b.mean_minutes(), WithinAbs(7.153846, k_last_digit));
  CHECK_THROWS_AS((RateBelief{1, 5}).mean_minutes(), Error);
}

TEST_CASE("the unit learning curve") {
  CHECK_THAT(learning_exponent(0.9), WithinAbs(-0.152003, k_last_digit));
  CHECK_THAT(nth_minutes(10, 0.9, 2), WithinAbs(9.0, k_last_digit));
  CHECK_THAT(nth_minutes(10, 0.9, 3), WithinAbs(8.4621, 5e-5));
  CHECK_THAT(nth_minutes(10, 0.9, 4), WithinAbs(8.1, k_last_digit));
  CHECK_THAT(nth_minutes(10, 0.9, 8), WithinAbs(7.29, k_last_digit));
  CHECK_THAT(minutes_of_first(10, 0.90, 10), WithinAbs(79.944786, k_last_digit));
  CHECK_THAT(minutes_of_first(10, 0.95, 10), WithinAbs(89.544939, k_last_digit));
  CHECK_THAT(minutes_of_first(10, 0.85, 10), WithinAbs(71.160627, k_last_digit));
  CHECK_THAT(minutes_of_first(10, 0.80, 10), WithinAbs(63.153730, k_last_digit));
  CHECK_THROWS_AS(nth_minutes(10, 1.2, 2), Error);
}

TEST_CASE("a learning curve is fitted to six jobs") {
  const std::array<double, 6> minutes{12.0, 10.5, 9.9, 9.2, 9.0, 8.7};
  const LearningFit fit = learning_fit(minutes);
  CHECK_THAT(fit.first_minutes, WithinAbs(11.963578, k_last_digit));
  CHECK_THAT(fit.exponent, WithinAbs(-0.179752, k_last_digit));
  CHECK_THAT(fit.slope, WithinAbs(0.882855, k_last_digit));
  CHECK_THROWS_AS(learning_fit(std::span(minutes).first(1)), Error);
}
