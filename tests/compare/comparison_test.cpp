#include "compare/comparison.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "compare/comparison_file.h"
#include "tests/compare/rendered_change.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

ComparisonOptions dry() {
  ComparisonOptions options;
  options.verdict.after = Dryness::dry;
  return options;
}

struct Compared {
  RenderedChange pair;
  Photo before, after;
  Survey before_survey, after_survey;
  Comparison comparison;
};

Compared compared(int number, cv::Size photo_px) {
  Compared c;
  c.pair = rendered_change(number, photo_px);
  c.before = photo_of(c.pair.before, "before.jpg");
  c.after = photo_of(c.pair.after, "after.jpg");
  c.before_survey = true_survey(c.pair.before, number);
  c.after_survey = true_survey(c.pair.after, number + 1);
  c.comparison = comparison_of({c.before, c.before_survey}, {c.after, c.after_survey}, dry());
  return c;
}

Bytes change_png(const ComparisonFiles& files) {
  for (const NamedBytes& p : files.pictures)
    if (p.file == "change.png") return p.bytes;
  return {};
}

}  // namespace

TEST_CASE("a partly washed board: aligned, measured, listed, and the same after saving", "[slow]") {
  const Compared c = compared(7, {640, 480});
  const Comparison& found = c.comparison;
  CHECK(error_of(found.alignment, c.pair).rms_px < 1);
  const TrueChange truth = true_change(c.pair, found.classes);
  CHECK(std::abs(found.table.total.removed.value - truth.removed) <=
        std::max(1.0, 0.05 * truth.removed));
  CHECK(found.table.total.verdict == ChangeVerdict::improved);
  // Squares are a partition of the board.
  double before = 0, area = 0;
  for (const ChangeRow& row : found.table.squares) {
    before += row.before.value;
    area += row.area;
  }
  CHECK(std::abs(before - found.table.total.before.value) < 1e-6 * (1 + before));
  CHECK(std::abs(area - found.table.total.area) < 1e-6 * area);
  REQUIRE_FALSE(found.changes.empty());
  for (size_t i = 0; i < found.changes.size(); ++i)
    CHECK(found.changes[i].id == static_cast<int>(i) + 1);

  const ComparisonFiles files = comparison_files(found);
  const Comparison back = load_comparison(files.json, "compare.json",
                                          [&](const PictureName&) { return change_png(files); });
  CHECK(comparison_files(back).json == files.json);
  CHECK(back.table == found.table);
  CHECK(back.changes == found.changes);
  CHECK(back.alignment == found.alignment);
  CHECK(cv::countNonZero(back.classes != found.classes) == 0);

  // Every row of the table is a line of zones_change.csv, after its header.
  const auto lines = std::count(files.zones_csv.begin(), files.zones_csv.end(), '\n');
  CHECK(lines == static_cast<long>(found.table.squares.size()) + 2);

  CHECK_THROWS_WITH(
      load_comparison(files.json, "compare.json", [](const PictureName&) { return Bytes(3); }),
      Contains("SHA-256"));
  CHECK_THROWS_WITH(load_comparison("{}", "x.json", [](const PictureName&) { return Bytes(); }),
                    Contains("x.json"));
}

TEST_CASE("a photo compared with itself shows no change at all") {
  Compared c = compared(0, {480, 360});
  const Comparison same =
      comparison_of({c.before, c.before_survey}, {c.before, c.before_survey}, dry());
  CHECK(same.table.total.removed.value == 0);
  CHECK(same.table.total.fresh.value == 0);
  CHECK(same.part_changes.empty());
  CHECK(same.table.total.verdict == ChangeVerdict::no_significant_change);
  CHECK(same.alignment.rms_after_px.value < 0.1);
}

TEST_CASE("another board is refused and says how pairs are set by hand") {
  const RenderedChange one = rendered_change(2, {480, 360}), other = rendered_change(3, {480, 360});
  const Photo a = photo_of(one.before), b = photo_of(other.before);
  const Survey sa = true_survey(one.before, 1), sb = true_survey(other.before, 2);
  try {
    (void)comparison_of({a, sa}, {b, sb}, dry());
    FAIL("another board was accepted");
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::no_result);
    CHECK_THAT(e.what(), Contains("by hand"));
  }
}

TEST_CASE("a survey of the other side or of another photo is refused") {
  const RenderedChange pair = rendered_change(0, {480, 360});
  const Photo photo = photo_of(pair.before);
  const Survey front = true_survey(pair.before, 1);
  Survey back = front;
  back.rectification.side = Side::back;
  CHECK_THROWS_WITH(comparison_of({photo, front}, {photo, back}, dry()), Contains("one side"));
  Survey foreign = front;
  foreign.photo.sha256 = std::string(64, 'f');
  CHECK_THROWS_WITH(comparison_of({photo, front}, {photo, foreign}, dry()),
                    Contains("another photo"));
}

TEST_CASE("an alignment that little stands behind says so", "[slow]") {
  const RenderedChange pair = rendered_change(7144, {800, 600});  // few places in common
  try {
    const Alignment a = alignment_of({pair.before.bgr, slipped_outline(pair.before.truth, 7144)},
                                     rectification_from(pair.before.truth),
                                     {pair.after.bgr, slipped_outline(pair.after.truth, 7145)});
    const bool is_right = error_of(a, pair).worst_px <= 2;
    const bool is_said =
        !a.remarks.empty() && a.remarks.back().find("agree in") != std::string::npos;
    CHECK((is_right || is_said));
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::no_result);
  }
}
