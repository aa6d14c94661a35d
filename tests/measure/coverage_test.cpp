#include "tests/measure/coverage.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

namespace {

// Other boards than those label_error.cpp was measured on.
constexpr std::uint64_t k_first_seed = 1;
constexpr int k_boards = 220;

// Fewer pixels of residue than this, and the rounding of its border to pixels alone may be 2 %.
constexpr double k_enough_px = 2000;

void check_coverage(const char* what, const std::vector<CoverageAmount>& amounts) {
  const CoverageFigures f = figures_of(amounts);
  WARN(what << ": covered " << f.covered_share << " of " << f.boards << ", median width "
            << f.median_rel_width << " of the truth");
  CHECK(f.covered_share >= 0.90);
  CHECK(f.covered_share <= 0.99);
}

}  // namespace

TEST_CASE("areas lie within 2 % and intervals hold the truth on 90 to 99 % of rendered boards",
          "[slow]") {
  const auto detector = first_method();
  const std::vector<CoverageCase> cases =
      coverage_cases({.first_seed = k_first_seed, .boards = k_boards, .detector = detector.get()});
  REQUIRE(cases.size() >= 200);
  std::vector<CoverageAmount> true_labels, own_labels;
  int judged = 0;
  for (const CoverageCase& c : cases) {
    CAPTURE(c.seed, c.mask, c.tilt_deg, c.k1, c.true_labels.truth);
    true_labels.push_back(c.true_labels);
    own_labels.push_back(c.own_board.amounts[0]);
    if (c.true_labels.truth * c.px_per_mm * c.px_per_mm < k_enough_px) continue;
    ++judged;
    CHECK(c.exact.value == Approx(c.true_labels.truth).epsilon(0.02));
  }
  CHECK(judged > k_boards / 2);
  check_coverage("true labels", true_labels);
  check_coverage("own labels", own_labels);
}
