#include "compare/change_table.h"

#include <catch2/catch.hpp>
#include <string>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

Interval about(double value, double half) { return {value, value - half, value + half}; }

VerdictOptions dry() {
  VerdictOptions options;
  options.after = Dryness::dry;
  return options;
}

// 200 mm2 of a place, all of it shown by both photos.
ChangeTerms terms(double before, double after, double gone, double fresh) {
  ChangeTerms t;
  t.name = "C6";
  t.area = t.compared_area = 200;
  t.before = about(before, 0.02 * before);
  t.after = about(after, 0.02 * after);
  t.gone = gone;
  t.fresh = fresh > 0 ? about(fresh, 0.02 * fresh) : Interval{};
  return t;
}

}  // namespace

TEST_CASE("half of the residue gone is fifty percent removed, with an interval that narrows") {
  const ChangeRow row = change_row(terms(40, 20, 20, 0), true, dry());
  CHECK_THAT(row.removed.value, WithinAbs(20, 1e-9));
  REQUIRE(row.removed_percent);
  CHECK_THAT(row.removed_percent->value, WithinAbs(50, 1e-9));
  CHECK(row.removed_percent->low < 50);
  CHECK(row.removed_percent->high > 50);
  CHECK(row.verdict == ChangeVerdict::improved);
  // Differences of two independent 2 % errors: sqrt(0.8^2 + 0.4^2).
  CHECK_THAT(row.removed.high - row.removed.value, WithinAbs(std::hypot(0.8, 0.4), 1e-9));
}

TEST_CASE("borders that differ by less than their chance are no change") {
  const ChangeRow row = change_row(terms(40, 39.5, 0, 0), true, dry());
  CHECK(row.removed.value == 0);
  CHECK(row.removed.high > 0.5);
  CHECK(row.verdict == ChangeVerdict::no_significant_change);
  // More than chance: what the change map could not show counts.
  CHECK_THAT(change_row(terms(40, 36, 0, 0), true, dry()).removed.value, WithinAbs(4, 1e-9));
}

TEST_CASE("new residue makes a place worse and is not taken off what was removed") {
  const ChangeRow row = change_row(terms(10, 30, 5, 25), true, dry());
  CHECK_THAT(row.removed.value, WithinAbs(5, 1e-9));
  CHECK_THAT(row.fresh.value, WithinAbs(25, 1e-9));
  CHECK(row.verdict == ChangeVerdict::worse);
}

TEST_CASE("nothing left is said of what the photos show, and only when something was there") {
  CHECK(change_row(terms(12, 0, 12, 0), true, dry()).verdict == ChangeVerdict::nothing_left);
  // Nothing there before and after is no change that a person can rely on, and is said as it is.
  CHECK(change_row(terms(0, 0, 0, 0), true, dry()).verdict == ChangeVerdict::nothing_flagged);
  CHECK(change_row(terms(0, 0, 0, 0), true, {}).verdict == ChangeVerdict::not_dry);
  CHECK(change_row(terms(0.04, 0.04, 0, 0), true, dry()).verdict ==
        ChangeVerdict::no_significant_change);
  ChangeTerms unsure = terms(12, 0, 8, 0);
  unsure.uncertain_gone = 4;  // may still be there
  CHECK(change_row(unsure, true, dry()).verdict == ChangeVerdict::improved);
  ChangeTerms hidden = terms(12, 0, 12, 0);
  hidden.compared_area = 60;
  CHECK(change_row(hidden, true, dry()).verdict == ChangeVerdict::not_shown);
}

TEST_CASE("a photo that is not logged dry gives figures but no verdict") {
  const ChangeRow row = change_row(terms(12, 0, 12, 0), true, {});
  CHECK_THAT(row.removed.value, WithinAbs(12, 1e-9));
  CHECK(row.verdict == ChangeVerdict::not_dry);
}

TEST_CASE("no verdict calls a board clean, safe or in order") {
  for (const ChangeVerdict v :
       {ChangeVerdict::nothing_left, ChangeVerdict::improved, ChangeVerdict::no_significant_change,
        ChangeVerdict::worse, ChangeVerdict::nothing_flagged, ChangeVerdict::not_shown,
        ChangeVerdict::not_dry}) {
    const std::string text = words(v);
    for (const char* word : {"clean", "safe", "OK", "ok"})
      CHECK(text.find(word) == std::string::npos);
  }
}

TEST_CASE("wrong options of a verdict are named") {
  VerdictOptions options;
  options.least_change_share = 2;
  CHECK_THROWS_WITH(options.check(), Catch::Contains("least_change_share"));
}
