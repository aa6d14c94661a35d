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

// With the labels taken from the renderer: what is left are scale, edge and the rounding to pixels.
// How far a detector's own labels are off is measured by tests/bench/coverage, not here.
TEST_CASE("with true labels, intervals hold the truth on 90 to 99 % of rendered boards", "[slow]") {
  const std::vector<CoverageCase> cases =
      coverage_cases({.first_seed = k_first_seed, .boards = k_boards});
  REQUIRE(cases.size() >= 200);
  std::vector<CoverageAmount> true_labels;
  int judged = 0, within = 0;
  for (const CoverageCase& c : cases) {
    CAPTURE(c.seed, c.mask, c.tilt_deg, c.k1, c.true_labels.truth);
    true_labels.push_back(c.true_labels);
    if (c.true_labels.truth * c.px_per_mm * c.px_per_mm < k_enough_px) continue;
    ++judged;
    within += c.exact.value == Approx(c.true_labels.truth).epsilon(0.02);
    CHECK(c.exact.value == Approx(c.true_labels.truth).epsilon(0.04));
  }
  CHECK(judged > k_boards / 2);
  WARN(within << " of " << judged << " boards within 2 % of the truth");
  CHECK(within >= 0.97 * judged);
  check_coverage("true labels", true_labels);
}
