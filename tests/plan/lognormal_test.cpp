// Worked values: the formulas evaluated in double precision outside this program, to the digits
// given; quantiles of Student's t from its printed tables (W. S. Gosset's distribution, one-sided).

#include "plan/lognormal.h"

#include <array>
#include <catch2/catch.hpp>

#include "base/error.h"
#include "plan/draws.h"
#include "plan/pert.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_last_digit = 1e-6;    // six decimals are given
constexpr double k_three_digits = 5e-4;  // three are

const std::array<Triple, 3> k_triples{{{2, 4, 9}, {5, 8, 14}, {10, 15, 40}}};

}  // namespace

TEST_CASE("PERT means and spreads of three tasks add up") {
  const double means[] = {4.5, 8.5, 18.333333}, sds[] = {1.166667, 1.5, 5.0};
  double sum = 0, variance = 0;
  for (size_t i = 0; i < k_triples.size(); ++i) {
    CHECK_THAT(pert_mean(k_triples[i]), WithinAbs(means[i], k_last_digit));
    CHECK_THAT(pert_sd(k_triples[i]), WithinAbs(sds[i], k_last_digit));
    sum += pert_mean(k_triples[i]), variance += pert_sd(k_triples[i]) * pert_sd(k_triples[i]);
  }
  CHECK_THAT(sum, WithinAbs(31.333333, k_last_digit));
  CHECK_THAT(variance, WithinAbs(28.611111, k_last_digit));
  CHECK_THAT(sum + normal_quantile(0.90) * std::sqrt(variance), WithinAbs(38.188270, k_last_digit));
  CHECK_THAT(sum + normal_quantile(0.95) * std::sqrt(variance), WithinAbs(40.131549, k_last_digit));
}

TEST_CASE("spreads that go together add up to more") {
  std::array<double, 3> sds{};
  for (size_t i = 0; i < sds.size(); ++i) sds[i] = pert_sd(k_triples[i]);
  CHECK_THAT(correlated_sd(sds, 0), WithinAbs(5.348936, k_last_digit));
  CHECK_THAT(correlated_sd(sds, 0.3), WithinAbs(6.136865, k_last_digit));
  CHECK_THAT(correlated_sd(sds, 0.6), WithinAbs(6.834553, k_last_digit));
  CHECK_THAT(correlated_sd(sds, 1), WithinAbs(7.666667, k_last_digit));
}

TEST_CASE("the beta distribution of PERT has its own spread") {
  const double a[] = {2.142857, 2.333333, 1.666667}, b[] = {3.857143, 3.666667, 4.333333};
  const double sds[] = {1.267731, 1.658312, 5.078745};
  for (size_t i = 0; i < k_triples.size(); ++i) {
    CHECK_THAT(beta_shape(k_triples[i]).a, WithinAbs(a[i], k_last_digit));
    CHECK_THAT(beta_shape(k_triples[i]).b, WithinAbs(b[i], k_last_digit));
    CHECK_THAT(beta_sd(k_triples[i]), WithinAbs(sds[i], k_last_digit));
  }
}

TEST_CASE("low and high are the 10 and 90 % points of a lognormal") {
  struct Row {
    double low, high, mu, sigma, median, mean;
  };
  for (const Row& r : {Row{3, 12, 1.791759, 0.540866, 6.0, 6.945037},
                       Row{4, 10, 1.844440, 0.357493, 6.324555, 6.741890},
                       Row{10, 45, 3.054624, 0.586819, 21.213203, 25.198942}}) {
    const Lognormal l = lognormal_of(r.low, r.high);
    CHECK_THAT(l.log_median, WithinAbs(r.mu, k_last_digit));
    CHECK_THAT(l.log_sd, WithinAbs(r.sigma, k_last_digit));
    CHECK_THAT(l.median(), WithinAbs(r.median, k_last_digit));
    CHECK_THAT(l.mean(), WithinAbs(r.mean, k_last_digit));
    CHECK_THAT(l.quantile(0.1), WithinAbs(r.low, k_last_digit));
    CHECK_THAT(l.quantile(0.9), WithinAbs(r.high, k_last_digit));
  }
  CHECK_THAT(lognormal_of(3, 12).sd(), WithinAbs(4.048548, k_last_digit));
  CHECK_THAT(lognormal_of(7, 7).log_sd, WithinAbs(0, k_last_digit));
  CHECK_THROWS_AS(lognormal_of(0, 3), Error);
  CHECK_THROWS_AS(lognormal_of(5, 3), Error);
}

TEST_CASE("a sum of lognormals has their mean and spread") {
  const Lognormal terms[] = {lognormal_of(3, 12), lognormal_of(4, 10), lognormal_of(10, 45)};
  const Lognormal sum = lognormal_sum(terms);
  CHECK_THAT(sum.mean(), WithinAbs(38.885868, k_last_digit));
  CHECK_THAT(sum.sd(), WithinAbs(16.840977, k_last_digit));
  CHECK_THAT(sum.log_median, WithinAbs(3.574679, k_last_digit));
  CHECK_THAT(sum.log_sd, WithinAbs(0.414614, k_last_digit));
  CHECK_THAT(sum.median(), WithinAbs(35.683, k_three_digits));
  CHECK_THAT(sum.quantile(0.8), WithinAbs(50.584, k_three_digits));
  CHECK_THAT(sum.quantile(0.9), WithinAbs(60.705, k_three_digits));
  const Lognormal twice[] = {terms[0], terms[0]};
  CHECK_THAT(lognormal_times(terms[0], 2).quantile(0.9),
             WithinAbs(lognormal_sum(twice).quantile(0.9), k_last_digit));
}

TEST_CASE("a factor of median 1 widens and does not move") {
  const Lognormal l = with_factor(lognormal_of(3, 12), 0.25);
  CHECK_THAT(l.median(), WithinAbs(6, k_last_digit));
  CHECK_THAT(l.log_sd, WithinAbs(std::sqrt(0.540866 * 0.540866 + 0.0625), k_last_digit));
}

TEST_CASE("quantiles agree with printed tables") {
  CHECK_THAT(normal_quantile(0.9), WithinAbs(k_z90, 1e-12));
  CHECK_THAT(normal_quantile(0.975), WithinAbs(1.959964, k_last_digit));
  CHECK_THAT(normal_quantile(0.1), WithinAbs(-k_z90, 1e-12));
  CHECK_THAT(student_t_quantile(0.9, 10), WithinAbs(1.372, k_three_digits));
  CHECK_THAT(student_t_quantile(0.9, 5), WithinAbs(1.476, k_three_digits));
  CHECK_THAT(student_t_quantile(0.975, 1), WithinAbs(12.706, k_three_digits));
  CHECK_THAT(student_t_quantile(0.1, 10), WithinAbs(-1.372, k_three_digits));
  CHECK_THAT(student_t_quantile(0.9, 1e6), WithinAbs(k_z90, 1e-5));
  CHECK_THROWS_AS(normal_quantile(0), Error);
}

TEST_CASE("draws are the same for the same seed and name, and have the moments they should") {
  Draws a(7, "x"), b(7, "x"), other(7, "y");
  CHECK(a.uniform() == b.uniform());
  CHECK(a.uniform() != other.uniform());
  Draws d(3, "moments");
  constexpr int n = 100'000;
  double sum = 0, squares = 0, gamma = 0, beta = 0;
  const Triple t{2, 4, 9};
  for (int i = 0; i < n; ++i) {
    const double z = d.normal();
    sum += z, squares += z * z, gamma += d.gamma(2.5), beta += d.beta_pert(t);
  }
  // Four standard errors each.
  CHECK_THAT(sum / n, WithinAbs(0, 4 / std::sqrt(n)));
  CHECK_THAT(squares / n, WithinAbs(1, 4 * std::sqrt(2.0 / n)));
  CHECK_THAT(gamma / n, WithinAbs(2.5, 4 * std::sqrt(2.5 / n)));
  CHECK_THAT(beta / n, WithinAbs(pert_mean(t), 4 * beta_sd(t) / std::sqrt(n)));
  CHECK(d.beta_pert({5, 5, 5}) == 5);
}
