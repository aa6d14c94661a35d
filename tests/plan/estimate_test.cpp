#include "plan/estimate.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "base/error.h"
#include "plan/draws.h"
#include "plan/lognormal.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

// Of a quantile over the draws below, four standard errors and more.
constexpr double k_draw_rel = 0.02;

Task task(const std::string& id, const Triple& t, double quantity = 1, bool by_piece = true) {
  Task one;
  one.id = id;
  one.each = t;
  one.quantity = quantity;
  one.by_piece = by_piece;
  return one;
}

EstimateOptions one_worker_like_another(SpreadKind spread, int draws = 200'000) {
  EstimateOptions o;
  o.draws = draws;
  o.worker_log_sd = 0;
  o.spread = spread;
  return o;
}

Task of_table(const std::string& id, Operation operation, double quantity) {
  static const RateTable table = starting_rates();
  const Rate& rate = rate_of(table, operation);
  Task t = task(id, rate.damaged, quantity, facts(operation).by_piece);
  t.operation = operation;
  t.set_up = rate.set_up;
  t.waiting_min = rate.waiting_min;
  return t;
}

// A leaked corner; every figure of it from the starting values.
std::vector<Task> leaked_corner() {
  return {of_table("chips", Operation::lift_small_chip, 3),
          of_table("cans", Operation::replace_smd_can, 4),
          of_table("pad", Operation::repair_pad, 1), of_table("trace", Operation::trace_by_wire, 1),
          of_table("pairs", Operation::continuity, 10)};
}

}  // namespace

// The draws of the worked values were 200000 too, of another generator; both keep one decimal.
TEST_CASE("a sum of three beta-PERT tasks by drawing", "[plan]") {
  const Estimate e =
      estimate_of({task("a", {2, 4, 9}), task("b", {5, 8, 14}), task("c", {10, 15, 40})},
                  one_worker_like_another(SpreadKind::bounds));
  CHECK_THAT(e.total.mean_min, WithinAbs(31.34, 0.1));
  CHECK_THAT(e.total.likely_min, WithinAbs(30.68, 0.1));
  CHECK_THAT(e.total.allow_min, WithinAbs(38.99, 0.1));
}

TEST_CASE("a sum of three lognormals by drawing, below its approximation in the tail", "[plan]") {
  const Estimate e =
      estimate_of({task("a", {3, 6, 12}), task("b", {4, 6, 10}), task("c", {10, 20, 45})},
                  one_worker_like_another(SpreadKind::p10_p90));
  // The worked values are themselves of one run of draws.
  CHECK_THAT(e.total.mean_min, WithinAbs(38.8, 0.3));
  CHECK_THAT(e.total.likely_min, WithinAbs(35.1, 0.3));
  CHECK_THAT(e.total.allow_min, WithinAbs(59.4, 0.6));
  CHECK(e.total.allow_min < 60.705);
}

// The estimate shows two points; the worked values give more, taken here from the draws themselves.
TEST_CASE("the drawn sums agree with the worked values at their other points too", "[plan]") {
  constexpr size_t n = 200'000;
  Draws draws(1, "points");
  std::vector<double> bounded(n), open(n);
  for (size_t i = 0; i < n; ++i) {
    bounded[i] =
        draws.beta_pert({2, 4, 9}) + draws.beta_pert({5, 8, 14}) + draws.beta_pert({10, 15, 40});
    for (const Lognormal& l : {lognormal_of(3, 12), lognormal_of(4, 10), lognormal_of(10, 45)})
      open[i] += std::exp(l.log_median + l.log_sd * draws.normal());
  }
  std::sort(bounded.begin(), bounded.end());
  std::sort(open.begin(), open.end());
  CHECK_THAT(bounded[n * 80 / 100], WithinAbs(36.00, 0.1));
  CHECK_THAT(bounded[n * 95 / 100], WithinAbs(41.41, 0.1));
  CHECK_THAT(open[n * 80 / 100], WithinAbs(49.2, 0.5));
}

TEST_CASE("one lognormal needs no draws, and draws agree with it") {
  EstimateOptions o;
  o.draws = 200'000;
  const Lognormal exact = with_factor(lognormal_of(3, 12), o.worker_log_sd);
  const Estimate one = estimate_of({task("a", {3, 6, 12})}, o);
  CHECK_THAT(one.total.allow_min, WithinRel(exact.quantile(0.9), 1e-9));
  CHECK(one.items.front().figures == one.total);
  // A second task of next to nothing makes the total a drawn one.
  const Estimate two = estimate_of({task("a", {3, 6, 12}), task("b", {1e-6, 1e-6, 1e-6})}, o);
  CHECK_THAT(two.total.likely_min, WithinRel(exact.median(), k_draw_rel));
  CHECK_THAT(two.total.allow_min, WithinRel(exact.quantile(0.9), k_draw_rel));
}

TEST_CASE("a leaked corner of about three hours lies between likely and allow up to") {
  // Three hours of soldering under a microscope for 3 SOIC-16, 4 surface-mount electrolytics, a
  // pad, a trace and ten continuity pairs, damaged: common practice, no source.
  const Figures f = estimate_of(leaked_corner()).total;
  CAPTURE(f.likely_min, f.allow_min);
  CHECK(f.likely_min < 180);
  CHECK(f.allow_min > 180);
}

TEST_CASE("the same input gives the same figures, and an item keeps its draws beside others") {
  const Estimate all = estimate_of(leaked_corner());
  CHECK(all == estimate_of(leaked_corner()));
  std::vector<Task> fewer = leaked_corner();
  fewer.erase(fewer.begin());
  CHECK(estimate_of(fewer).items.front() == all.items.at(1));
}

TEST_CASE("one worker widens the sum more than independent tasks would") {
  EstimateOptions with, without;
  without.worker_log_sd = 0;
  const Figures a = estimate_of(leaked_corner(), with).total;
  const Figures b = estimate_of(leaked_corner(), without).total;
  CHECK(a.allow_min / a.likely_min > b.allow_min / b.likely_min);
  CHECK_THAT(a.likely_min, WithinRel(b.likely_min, 0.03));
}

TEST_CASE("times scale with their amount and rise with every task") {
  const Figures one = estimate_of({task("a", {3, 6, 12}, 1, false)}).total;
  const Figures three = estimate_of({task("a", {3, 6, 12}, 3, false)}).total;
  CHECK_THAT(three.allow_min, WithinRel(3 * one.allow_min, 1e-9));
  const Figures pieces = estimate_of({task("a", {3, 6, 12}, 3)}).total;
  CHECK(pieces.allow_min < three.allow_min);
  CHECK_THAT(pieces.mean_min, WithinRel(three.mean_min, k_draw_rel));
  Task learning = task("a", {3, 6, 12}, 8);
  const double plain = estimate_of({learning}).total.likely_min;
  learning.slope = 0.9;
  CHECK(estimate_of({learning}).total.likely_min < plain);
}

TEST_CASE("zones, boards and waiting are kept apart") {
  std::vector<Task> tasks = leaked_corner();
  tasks.push_back(of_table("pad 2", Operation::repair_pad, 1));
  tasks.push_back(of_table("foil", Operation::trace_by_foil, 1));
  for (size_t i = 0; i < tasks.size(); ++i) {
    tasks[i].zone = i < 3 ? "A1" : "C2";
    tasks[i].board = i < 6 ? "one" : "two";
    tasks[i].material = 2;
  }
  const Estimate e = estimate_of(tasks);
  REQUIRE(e.zones.size() == 2);
  REQUIRE(e.boards.size() == 2);
  CHECK(e.zones[0].name == "A1");
  CHECK(e.boards[1].name == "two");
  // Two pads cure together; the foil of the other board cures on its own.
  CHECK(e.boards[0].figures.waiting_min == 24 * 60);
  CHECK(e.total.waiting_min == 2 * 24 * 60);
  CHECK(e.total.material == 14);
  CHECK_THAT(e.zones[0].figures.mean_min + e.zones[1].figures.mean_min,
             WithinRel(e.total.mean_min, 1e-9));
  // Nobody is unlucky everywhere: the total's allowance is below the sum of the zones'.
  CHECK(e.zones[0].figures.allow_min + e.zones[1].figures.allow_min > e.total.allow_min);
  CHECK_THAT(allow_cost(e.total, 60), WithinRel(e.total.allow_min + 14, 1e-9));
}

TEST_CASE("an estimate of nothing is nothing, and absurd ones are refused") {
  CHECK(estimate_of({}).total == Figures{});
  CHECK_THROWS_AS(estimate_of({task("a", {1, 2, 3}, 0)}), Error);
  CHECK_THROWS_AS(estimate_of({task("a", {1, 2, 3}, 20'000)}), Error);
  EstimateOptions o;
  o.draws = 3;
  CHECK_THROWS_AS(estimate_of({task("a", {1, 2, 3})}, o), Error);
}
