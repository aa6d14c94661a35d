#include "measure/zone_table.h"

#include <catch2/catch.hpp>
#include <numbers>
#include <opencv2/core/utility.hpp>

#include "base/error.h"
#include "tests/measure/drawn.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

// The promise is 2 %; a disc of 8 mm at 9 px per mm, drawn by whole pixels, stays far inside it.
constexpr double k_area_rel = 0.002;
constexpr double k_sum_rel = 1e-12;

double disc_mm2(double radius_mm) { return std::numbers::pi * radius_mm * radius_mm; }

ZoneTable measured(const cv::Mat& labels, const Rectification& r) {
  return zone_table({labels, {}, {}, 1}, r, {});
}

const Amount& of(const ZoneRow& row, Residue residue) {
  return row.by_class[static_cast<size_t>(residue)];
}

}  // namespace

TEST_CASE("a disc keeps its area under tilt and lens distortion") {
  for (const double tilt : {0.0, 8.0, 15.0})
    for (const double k1 : {0.0, -0.15, 0.1}) {
      CAPTURE(tilt, k1);
      const Rectification r = rectification_of({.tilt_deg = tilt, .k1 = k1});
      const ZoneTable t = measured(labels_of(r, disc({70, 40}, 8, Residue::copper_salt)), r);
      CHECK(t.has_mm);
      CHECK_THAT(t.total.affected.area.value, WithinRel(disc_mm2(8), k_area_rel));
      CHECK(t.total.affected.area.contains(disc_mm2(8)));
      CHECK_THAT(of(t.total, Residue::copper_salt).area.value,
                 WithinRel(t.total.affected.area.value, k_sum_rel));
      CHECK_THAT(t.total.area, WithinRel(7500.0, 1e-9));
      CHECK_THAT(t.total.affected.percent.value, WithinRel(disc_mm2(8) / 75, k_area_rel));
    }
}

TEST_CASE("a disc inside one square is counted in that square only, by its name") {
  const Rectification r = rectification_of({.tilt_deg = 12, .k1 = -0.1});
  // 100 x 75 mm: 8 x 6 squares of 12.5 x 12.5; (68.75, 31.25) is the middle of C6.
  const ZoneTable t = measured(labels_of(r, disc({68.75, 31.25}, 4, Residue::rust)), r);
  REQUIRE(t.squares.size() == 48);
  for (const ZoneRow& row : t.squares) {
    CAPTURE(row.name);
    CHECK((row.affected.px > 0) == (row.name == "C6"));
  }
  const ZoneRow& c6 = square_row(t, "C6");
  CHECK_THAT(of(c6, Residue::rust).area.value, WithinRel(disc_mm2(4), 2 * k_area_rel));
  CHECK_THAT(c6.area, WithinRel(12.5 * 12.5, 1e-9));
  CHECK(c6.iso10289 == 1);  // 32 % lies in 25 to 50
}

TEST_CASE("half planes fill exactly the squares on their side") {
  const Rectification r = rectification_of({.tilt_deg = 15});
  const ZoneTable t = measured(
      labels_of(r,
                [](cv::Point2d p) { return p.x < 50 ? Residue::leak_film : Residue::white_salt; }),
      r);
  const ZoneRow &left = square_row(t, "B2"), &right = square_row(t, "E7");
  CHECK_THAT(of(left, Residue::leak_film).percent.value, WithinAbs(100, 1));
  CHECK(of(left, Residue::white_salt).px == 0);
  CHECK_THAT(of(right, Residue::white_salt).percent.value, WithinAbs(100, 1));
  CHECK_THAT(t.total.affected.area.value, WithinRel(7500.0, k_area_rel));
}

TEST_CASE("the squares' rows add up to the board's") {
  const Rectification r = rectification_of({.tilt_deg = 10, .k1 = -0.15});
  const ZoneTable t = measured(labels_of(r,
                                         [](cv::Point2d p) {
                                           const int i = static_cast<int>(p.x * 3 + 7 * p.y);
                                           return static_cast<Residue>(i & 7);
                                         }),
                               r);
  for (const Residue residue : k_residues) {
    double area = 0;
    long px = 0;
    for (const ZoneRow& row : t.squares) {
      area += of(row, residue).area.value;
      px += of(row, residue).px;
    }
    CHECK(px == of(t.total, residue).px);
    CHECK(px > 0);
    CHECK_THAT(area, WithinRel(of(t.total, residue).area.value, k_sum_rel));
  }
  double whole = 0;
  for (const ZoneRow& row : t.squares) whole += row.area;
  CHECK_THAT(whole, WithinRel(t.total.area, 1e-9));
}

TEST_CASE("twice the scale is four times the area") {
  Rectification r = rectification_of({.tilt_deg = 5});
  const cv::Mat labels = labels_of(r, disc({30, 40}, 6, Residue::copper_salt));
  const double once = measured(labels, r).total.affected.area.value;
  r.board_from_photo_px = cv::Matx33d{2, 0, 0, 0, 2, 0, 0, 0, 1} * r.board_from_photo_px;
  for (cv::Point2d& p : r.outline_board.outer) p *= 2;
  const ZoneTable twice = measured(labels, r);
  CHECK_THAT(twice.total.affected.area.value, WithinRel(4 * once, k_sum_rel));
  CHECK_THAT(twice.total.affected.percent.value, WithinRel(100 * once / 7500, 1e-9));
}

TEST_CASE("the back of a board gives a place the same square as the front") {
  for (const Side side : {Side::front, Side::back}) {
    const Rectification r = rectification_of({.tilt_deg = 9}, side);
    const ZoneTable t = measured(labels_of(r, disc({68.75, 31.25}, 4, Residue::rust)), r);
    CHECK(square_row(t, "C6").affected.px > 0);
    CHECK(square_row(t, "C6").affected.px == t.total.affected.px);
  }
}

TEST_CASE("what lies outside the outline or in a hole of it is not counted") {
  Rectification r = rectification_of({});
  r.outline_board.holes.push_back({{40, 20}, {60, 20}, {60, 50}, {40, 50}});
  const cv::Mat labels = cv::Mat(r.photo_size_px, CV_8UC1, cv::Scalar(3));
  const ZoneTable t = measured(labels, r);
  CHECK_THAT(t.total.area, WithinRel(7500.0 - 600, 1e-9));
  CHECK_THAT(t.total.affected.area.value, WithinRel(7500.0 - 600, k_area_rel));
  CHECK_THAT(t.total.affected.percent.value, WithinAbs(100, 0.2));
}

TEST_CASE("without a scale there are shares but no millimetres") {
  Rectification r = rectification_of({});
  r.px_per_mm.reset();
  r.length_rel_sd = 0;
  const ZoneTable t = measured(labels_of(r, disc({50, 40}, 10, Residue::copper_salt)), r);
  CHECK_FALSE(t.has_mm);
  CHECK_FALSE(t.grid.has_mm);
  CHECK_THAT(t.total.affected.percent.value, WithinRel(disc_mm2(10) / 75, k_area_rel));
}

TEST_CASE("without an outline the grid lies over the photo") {
  Rectification r;
  r.photo_size_px = {640, 480};
  cv::Mat labels = cv::Mat::zeros(r.photo_size_px, CV_8UC1);
  labels(cv::Rect(0, 0, 64, 48)).setTo(1);
  const ZoneTable t = measured(labels, r);
  CHECK_THAT(t.total.area, WithinRel(640.0 * 480, 1e-12));
  CHECK(t.total.affected.px == 64 * 48);
  CHECK_THAT(t.total.affected.percent.value, WithinAbs(1, 1e-9));
  CHECK(t.grid.columns == 8);
}

TEST_CASE("a board that reaches beyond the photo has an unseen share there") {
  // The camera looks 50 mm to the right of the board's middle: the left part is not in the photo.
  DrawnView view{.photo_px = {800, 900}};
  const Rectification r = rectification_of(view);
  const cv::Point2d left = board_point(r, {-0.5, 450}), right = board_point(r, {799.5, 450});
  const double seen = (right.x - left.x) * 75;
  const ZoneTable t = measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r);
  CHECK_THAT(t.total.area_in_photo, WithinRel(seen, 1e-9));
  CHECK_THAT(t.total.unseen.outside_photo_percent, WithinRel(100 * (7500 - seen) / 7500, 1e-9));
  CHECK_THAT(square_row(t, "C1").unseen.total_percent, WithinRel(100 * left.x / 12.5, 1e-9));
  CHECK(square_row(t, "C4").unseen.total_percent == 0);
}

TEST_CASE("a lens does not change how much of the board is in the photo") {
  // Corners and edges in view: nothing outside, whatever the distortion.
  for (const double k1 : {-0.1, 0.1}) {
    const Rectification r = rectification_of({.tilt_deg = 10, .k1 = k1});
    CHECK(measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r).total.unseen.total_percent == 0);
  }
}

TEST_CASE("glare and blur count once where they overlap") {
  const Rectification r = rectification_of({.tilt_deg = 6});
  cv::Mat hidden = cv::Mat::zeros(90, 120, CV_8UC1);  // a tenth of the photo's size
  // Board 100 x 75 mm fills photo px 131.. to 1068.. about: take a patch well inside.
  hidden(cv::Rect(50, 40, 10, 10)).setTo(1);
  hidden(cv::Rect(55, 40, 10, 10)) |= 2;
  const ZoneTable t =
      zone_table({cv::Mat::zeros(r.photo_size_px, CV_8UC1), {}, hidden, 0.1}, r, {});
  const Unseen& u = t.total.unseen;
  CHECK_THAT(u.glare_percent, WithinRel(u.blur_percent, 0.05));
  CHECK_THAT(u.total_percent, WithinRel(1.5 * u.glare_percent, 0.03));
  const Ring patch{{499.5, 399.5}, {599.5, 399.5}, {599.5, 499.5}, {499.5, 499.5}};
  CHECK_THAT(u.glare_percent,
             WithinRel(std::abs(signed_area(mapped(r.board_from_photo_px, patch))) / 75, 0.005));
}

TEST_CASE("findings are listed in every square they reach") {
  const Rectification r = rectification_of({});
  const cv::Mat labels = labels_of(r, disc({50, 37.5}, 5, Residue::rust));
  cv::Mat ids;
  labels.convertTo(ids, CV_16U, 17.0 / 4);  // rust is 4: finding 17
  const ZoneTable t = zone_table({labels, ids, {}, 1}, r, {});
  CHECK(t.total.findings == std::vector<int>{17});
  for (const char* name : {"C4", "C5", "D4", "D5"})
    CHECK(square_row(t, name).findings == std::vector<int>{17});
  CHECK(square_row(t, "A1").findings.empty());
}

TEST_CASE("the same table comes out on any number of threads") {
  const Rectification r = rectification_of({.tilt_deg = 15, .k1 = -0.1});
  const cv::Mat labels = labels_of(r, disc({60, 30}, 20, Residue::leak_film));
  cv::setNumThreads(1);
  const ZoneTable one = measured(labels, r);
  cv::setNumThreads(-1);
  CHECK(measured(labels, r) == one);
}

TEST_CASE("labels of another size and labels that are no class are refused") {
  const Rectification r = rectification_of({});
  CHECK_THROWS_WITH(measured(cv::Mat::zeros(10, 10, CV_8UC1), r), Contains("1200x900"));
  cv::Mat labels = cv::Mat::zeros(r.photo_size_px, CV_8UC1);
  labels.at<std::uint8_t>(5, 5) = 8;
  CHECK_THROWS_WITH(measured(labels, r), Contains("above 7"));
  MeasureOptions options;
  options.label_edge_sd_px = -1;
  CHECK_THROWS_WITH(zone_table({labels, {}, {}, 1}, r, options), Contains("label_edge_sd_px"));
  std::stop_source stop;
  stop.request_stop();
  CHECK_THROWS_AS(zone_table({cv::Mat::zeros(r.photo_size_px, CV_8UC1), {}, {}, 1}, r, {},
                             {stop.get_token(), {}}),
                  Error);
}

TEST_CASE("a photo of one pixel is measured") {
  Rectification r;
  r.photo_size_px = {1, 1};
  const ZoneTable t = measured(cv::Mat(1, 1, CV_8UC1, cv::Scalar(2)), r);
  CHECK(t.total.affected.px == 1);
  CHECK_THAT(t.total.affected.area.value, WithinRel(1.0, 1e-12));
}
