#include "synthetic/board.h"

#include <catch2/catch.hpp>
#include <numeric>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "synthetic/generate.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

bool same_pixels(const cv::Mat& a, const cv::Mat& b) {
  if (a.size() != b.size() || a.type() != b.type()) return false;
  for (int y = 0; y < a.rows; ++y)
    if (!std::equal(a.ptr(y), a.ptr(y) + a.cols * static_cast<int>(a.elemSize()), b.ptr(y)))
      return false;
  return true;
}

long labelled_px(const Board& b) { return cv::countNonZero(b.labels); }

// A deposit's edge is as long as its rim; at 5 px/mm and up that is a few per cent of its pixels.
constexpr double k_raster_share = 0.04;
constexpr double k_rounding_mm2 = 1e-6;

}  // namespace

TEST_CASE("the same spec gives the same board and another seed another one") {
  const BoardSpec spec = random_board(3);
  const Board a = render_board(spec, 3), b = render_board(spec, 3),
              c = render_board(random_board(4), 3);
  CHECK(same_pixels(a.albedo, b.albedo));
  CHECK(same_pixels(a.height_mm, b.height_mm));
  CHECK(same_pixels(a.labels, b.labels));
  CHECK_FALSE(same_pixels(a.albedo, c.albedo));
}

TEST_CASE("areas are the labels counted, in total and square by square") {
  for (const std::uint64_t seed : {5, 6, 7}) {
    const Board b = render_board(random_board(seed), 5);
    const double px_mm2 = 1 / (b.px_per_mm * b.px_per_mm);
    CHECK(b.residue_area_mm2() > 0);
    CHECK_THAT(b.residue_area_mm2(),
               WithinAbs(static_cast<double>(labelled_px(b)) * px_mm2, k_rounding_mm2));
    AreaByClass sum{};
    double board_mm2 = 0;
    for (const SquareArea& s : b.squares) {
      board_mm2 += s.area_mm2;
      for (size_t i = 0; i < sum.size(); ++i) sum[i] += s.by_class[i];
    }
    for (size_t i = 0; i < sum.size(); ++i)
      CHECK_THAT(sum[i], WithinAbs(b.area_mm2[i], k_rounding_mm2));
    CHECK_THAT(board_mm2, WithinAbs(area(b.outline_mm), k_rounding_mm2));
  }
}

TEST_CASE("twice the scale gives four times the labelled pixels and the same area") {
  for (const std::uint64_t seed : {8, 9}) {
    BoardOptions o;
    o.size_mm = cv::Size2d{90, 60};
    o.residue_amount = 0.9;
    const BoardSpec spec = random_board(seed, o);
    const Board a = render_board(spec, 6), b = render_board(spec, 12);
    CHECK_THAT(static_cast<double>(labelled_px(b)),
               WithinRel(4.0 * static_cast<double>(labelled_px(a)), k_raster_share));
    CHECK_THAT(b.residue_area_mm2(), WithinRel(a.residue_area_mm2(), k_raster_share));
  }
}

TEST_CASE("no residue asked for gives a board without labels") {
  BoardOptions o;
  o.residue_amount = 0;
  const Board b = render_board(random_board(10, o), 3);
  CHECK(labelled_px(b) == 0);
  CHECK(b.residue_area_mm2() == 0);
  CHECK(b.reached.empty());
}

TEST_CASE("every class can be asked for alone") {
  for (const Residue r : {Residue::copper_salt, Residue::leak_film, Residue::white_salt,
                          Residue::rust, Residue::attacked_joint, Residue::eaten_copper}) {
    BoardOptions o;
    o.residues = {r};
    o.residue_amount = 1;
    double sum = 0;
    for (std::uint64_t seed = 20; seed < 24; ++seed) {
      const Board b = render_board(random_board(seed, o), 3);
      sum += b.area_mm2[static_cast<size_t>(r)];
      CHECK_THAT(b.residue_area_mm2(),
                 WithinAbs(b.area_mm2[static_cast<size_t>(r)], k_rounding_mm2));
    }
    CAPTURE(name(r));
    CHECK(sum > 1);
  }
}

TEST_CASE("a deposit keeps within its reach and taking it away changes nothing else") {
  BoardOptions o;
  o.size_mm = cv::Size2d{100, 80};
  o.residue_amount = 0;
  BoardSpec spec = random_board(11, o);
  const Board clean = render_board(spec, 5);
  const cv::Point2d at{40, 35};
  spec.deposits = {{Residue::leak_film, Shape::halo, at, 9, 30, 0.8, 5, ""}};
  const Board b = render_board(spec, 5);
  CHECK(labelled_px(b) > 0);
  for (int y = 0; y < b.labels.rows; ++y)
    for (int x = 0; x < b.labels.cols; ++x) {
      const cv::Point2d p = b.origin_mm + cv::Point2d{x + 0.5, y + 0.5} / b.px_per_mm;
      if (std::abs(p.x - at.x) < 9.5 && std::abs(p.y - at.y) < 9.5) continue;
      REQUIRE(b.labels.at<uchar>(y, x) == 0);
      REQUIRE(b.albedo.at<cv::Vec3w>(y, x) == clean.albedo.at<cv::Vec3w>(y, x));
    }
}

TEST_CASE("residue on the back lies where its board millimetres say") {
  BoardOptions o;
  o.size_mm = cv::Size2d{100, 80};
  o.residue_amount = 0;
  for (const Side side : {Side::front, Side::back}) {
    o.side = side;
    BoardSpec spec = random_board(12, o);
    spec.deposits = {{Residue::leak_film, Shape::halo, {22, 30}, 8, 0, 0.9, 5, ""}};
    const Board b = render_board(spec, 4);
    const cv::Moments m = cv::moments(b.labels, true);
    REQUIRE(m.m00 > 0);
    const cv::Point2d centre =
        b.origin_mm + cv::Point2d{m.m10 / m.m00 + 0.5, m.m01 / m.m00 + 0.5} / b.px_per_mm;
    CHECK(cv::norm(centre - cv::Point2d{22, 30}) < 6);
  }
}

TEST_CASE("another unit has the same parts and printing but other residue") {
  const BoardSpec one = random_board(13), two = other_unit(one, 99, {}, 2);
  REQUIRE(one.parts.size() == two.parts.size());
  CHECK(one.type_seed == two.type_seed);
  CHECK(one.unit_seed != two.unit_seed);
  for (size_t i = 0; i < one.parts.size(); ++i)
    CHECK(one.parts[i].centre_mm == two.parts[i].centre_mm);
  CHECK_FALSE(two.omitted.empty());
  CHECK_FALSE(
      two.is_fitted(*std::find_if(two.parts.begin(), two.parts.end(), [&](const PlacedPart& p) {
        return p.designator == two.omitted[0];
      })));
}

TEST_CASE("a full wash leaves nothing, none leaves everything, and the change adds up") {
  BoardOptions o;
  o.size_mm = cv::Size2d{100, 80};
  o.residue_amount = 0.9;
  const BoardSpec spec = random_board(14, o);
  const Board before = render_board(spec, 4);
  const Board clean = render_board(washed(spec, 1, 1.0), 4);
  CHECK(clean.residue_area_mm2() == 0);
  const ChangeTruth all = change_between(before, clean);
  CHECK_THAT(all.removed_mm2, WithinAbs(before.residue_area_mm2(), k_rounding_mm2));
  const ChangeTruth none = change_between(before, before);
  CHECK_THAT(none.remaining_mm2, WithinAbs(before.residue_area_mm2(), k_rounding_mm2));
  CHECK(none.removed_mm2 + none.new_mm2 == 0);
  const Board part_off = render_board(washed(spec, 2, 0.5, 3), 4);
  const ChangeTruth some = change_between(before, part_off);
  CHECK_THAT(some.removed_mm2 + some.remaining_mm2,
             WithinAbs(before.residue_area_mm2(), k_rounding_mm2));
  CHECK_FALSE(some.parts_gone.empty());
}

TEST_CASE("reached parts have residue on body or pads") {
  BoardOptions o;
  o.residue_amount = 1;
  const Board b = render_board(random_board(15, o), 4);
  REQUIRE_FALSE(b.reached.empty());
  for (const ReachedPart& p : b.reached)
    CHECK(std::accumulate(p.by_class.begin(), p.by_class.end(), 0.0) > 0);
}

TEST_CASE("a spec that cannot be is refused and the field named") {
  BoardSpec spec = random_board(16);
  spec.size_mm.width = 2;
  CHECK_THROWS_WITH(render_board(spec, 4), Catch::Contains("size_mm"));
  spec = random_board(16);
  spec.dirt = 2;
  CHECK_THROWS_WITH(render_board(spec, 4), Catch::Contains("dirt"));
  spec = random_board(16);
  spec.parts.push_back(spec.parts[0]);
  CHECK_THROWS_WITH(render_board(spec, 4), Catch::Contains(spec.parts[0].designator));
  CHECK_THROWS_AS(render_board(random_board(16), 0.5), Error);
  CHECK_THROWS_WITH(part(Kind::dip, "dip-999", "U1", {0, 0}, 0), Catch::Contains("dip-999"));
}
