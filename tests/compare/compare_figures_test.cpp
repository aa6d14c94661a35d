// The figures of comparing, on a few of the pairs that tests/bench/compare_pairs measures.
#include <algorithm>
#include <catch2/catch.hpp>

#include "base/error.h"
#include "tests/compare/rendered_change.h"

using namespace verdigrid;

TEST_CASE("rendered pairs: aligned, measured and judged as their truth says", "[slow]") {
  constexpr int k_pairs = 8;
  int area_right = 0, verdict_right = 0, covered = 0;
  std::vector<double> rms;
  for (int number = 1; number <= k_pairs; ++number) {
    const RenderedChange pair = rendered_change(number, {800, 600});
    const Photo before = photo_of(pair.before), after = photo_of(pair.after);
    const Survey sb = true_survey(pair.before, number), sa = true_survey(pair.after, number + 1);
    ComparisonOptions options;
    options.verdict.after = Dryness::dry;
    const Comparison c = comparison_of({before, sb}, {after, sa}, options);
    const ChangeRow& t = c.table.total;
    const TrueChange truth = true_change(pair, c.classes);
    rms.push_back(error_of(c.alignment, pair).rms_px);
    CAPTURE(number, name(pair.wash), rms.back(), t.removed.value, truth.removed);
    CHECK(rms.back() <= 1);
    area_right += std::abs(t.removed.value - truth.removed) <= std::max(1.0, 0.05 * truth.removed);
    covered += t.removed.contains(truth.removed);
    verdict_right += t.verdict == true_verdict(truth, options.verdict);
    if (pair.wash == Wash::unchanged || pair.wash == Wash::nothing_there)
      CHECK(t.removed.value + t.fresh.value - truth.removed - truth.fresh <=
            0.001 * truth.board_mm2);
  }
  std::sort(rms.begin(), rms.end());
  CHECK(rms[rms.size() / 2] <= 0.5);
  CHECK(area_right >= 7);
  CHECK(covered >= 6);
  CHECK(verdict_right == k_pairs);
}

TEST_CASE("rendered wrong pairs: none is accepted", "[slow]") {
  for (int number = 0; number < 4; ++number) {
    const RenderedChange one = rendered_change(5 * number, {480, 360});
    RenderedChange other = rendered_change(5 * number + 1, {480, 360});
    const BoardPhoto first{one.before.bgr, one.before.truth.outline_px};
    BoardPhoto second{other.before.bgr, other.before.truth.outline_px};
    if (number % 2 == 1) {  // the same board, mirrored
      cv::flip(one.after.bgr, second.bgr, 1);
      second.board_px = {};
    }
    CHECK_THROWS_AS(alignment_of(first, rectification_from(one.before.truth), second), Error);
  }
}
