#include "plan/actuals.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/error.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr Operation k_can = Operation::replace_smd_can;

// P10 and P90 of a job with median 6 and spread 0.4: the table of the worked values.
RateTable table_of_six() {
  RateTable t = starting_rates();
  for (Rate& r : t.rates)
    if (r.operation == k_can)
      r.damaged = {6 * std::exp(-0.4 * 1.2815515655), 6, 6 * std::exp(0.4 * 1.2815515655)};
  return t;
}

std::vector<Actual> jobs(const std::vector<double>& minutes, const std::string& person) {
  std::vector<Actual> list;
  for (const double m : minutes) list.push_back({k_can, true, person, m, 1, "2026-02-01"});
  return list;
}

Triple learned(const std::vector<Actual>& actuals, const std::string& person,
               const LearningOptions& o = {}) {
  return rate_of(learned_rates(table_of_six(), actuals, person, o), k_can).damaged;
}

double median(const Triple& t) { return std::sqrt(t.low * t.high); }

}  // namespace

TEST_CASE("four jobs of one person give the worked update") {
  // With a vanishing difference between people the two steps are the one update of the worked
  // values: median 8.862856, P10 5.036454, P90 15.596334.
  LearningOptions o;
  o.person_log_sd = 1e-9;
  const Triple t = learned(jobs({9, 8, 11, 10}, "Ada"), "Ada", o);
  CHECK_THAT(median(t), WithinAbs(8.862856, 1e-5));
  CHECK_THAT(t.low, WithinAbs(5.036454, 1e-5));
  CHECK_THAT(t.high, WithinAbs(15.596334, 1e-5));
}

TEST_CASE("one job moves a rate less than many, and a person's own more than another's") {
  const double one = median(learned(jobs({12}, "Ada"), "Ada"));
  const double four = median(learned(jobs({12, 12, 12, 12}, "Ada"), "Ada"));
  const double of_another = median(learned(jobs({12, 12, 12, 12}, "Ben"), "Ada"));
  CHECK(6 < one);
  CHECK(one < four);
  CHECK(four < 12);
  CHECK(6 < of_another);
  CHECK(of_another < four);
  CHECK(learned({}, "Ada") == rate_of(table_of_six(), k_can).damaged);
}

TEST_CASE("after many equal jobs the spread narrows too") {
  const Triple before = rate_of(table_of_six(), k_can).damaged;
  const Triple t = learned(jobs(std::vector<double>(30, 9.0), "Ada"), "Ada");
  CHECK(t.high / t.low < before.high / before.low);
  CHECK_THAT(median(t), WithinAbs(9, 0.3));
  CHECK(t.low <= t.likely);
  CHECK(t.likely <= t.high);
}

TEST_CASE("jobs of several pieces count as what they are") {
  std::vector<Actual> batch{{k_can, true, "Ada", 60, 10, "2026-02-01"}};
  CHECK_THAT(median(learned(batch, "Ada")), WithinAbs(6, 0.6));
  batch.front().minutes = 180;
  CHECK(median(learned(batch, "Ada")) > 10);
}

TEST_CASE("only what was logged is moved, and it says where it comes from") {
  const RateTable t = learned_rates(table_of_six(), jobs({9, 8}, "Ada"), "Ada");
  CHECK_THAT(rate_of(t, k_can).source, Contains("2 logged jobs of Ada and 0 of others"));
  CHECK(rate_of(t, k_can).sound == rate_of(table_of_six(), k_can).sound);
  CHECK(rate_of(t, Operation::dry) == rate_of(table_of_six(), Operation::dry));
}

TEST_CASE("learned figures are told in words") {
  const auto lines = learned_words(table_of_six(), jobs(std::vector<double>(10, 7.5), "Ada"));
  REQUIRE(lines.size() == 1);
  // The worked value for ten jobs in 75 minutes: 7.153846.
  CHECK_THAT(lines[0], Contains("10 x can in 75 min, expect 7.2 min each"));
  CHECK_THAT(lines[0], Contains("learning slope 1.00 over 10 jobs"));
}

TEST_CASE("a log entry that cannot be is refused") {
  CHECK_THROWS_AS(learned({{k_can, true, "Ada", 0, 1, ""}}, "Ada"), Error);
  CHECK_THROWS_AS(learned({{k_can, true, "Ada", 5, -1, ""}}, "Ada"), Error);
  LearningOptions o;
  o.rate_log_sd = 0;
  CHECK_THROWS_AS(learned({}, "Ada", o), Error);
}
