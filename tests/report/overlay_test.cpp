#include "report/overlay.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "report/places_sheet.h"
#include "report/signs.h"
#include "tests/report/made_up_survey.h"

using namespace verdigrid;

namespace {

bool same(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() && cv::norm(a, b, cv::NORM_INF) == 0;
}

// Share of pixels that differ by more than a quarter of the range.
double changed(const cv::Mat& a, const cv::Mat& b) {
  cv::Mat difference;
  cv::absdiff(a, b, difference);
  cv::Mat flat = difference.reshape(1);
  return double(cv::countNonZero(flat > 64)) / double(flat.total());
}

}  // namespace

TEST_CASE("the overlay shows the photo larger than itself, with a heading and a legend",
          "[report]") {
  const cv::Mat overlay = overlay_picture(made_up::photo(), made_up::survey(7), {1020, 80});
  CHECK(overlay.type() == CV_8UC3);
  CHECK(overlay.cols > 1020);
  CHECK(overlay.rows > 720 + 10 * 11);
}

TEST_CASE("the same survey gives the same overlay", "[report]") {
  const Survey survey = made_up::survey(7);
  CHECK(same(overlay_picture(made_up::photo(), survey), overlay_picture(made_up::photo(), survey)));
}

TEST_CASE("a finding changes the picture where it lies and nowhere else on the board", "[report]") {
  Survey with = made_up::survey(1), without = with;
  with.findings.places.clear();
  without.findings.places.clear();
  without.findings.findings[0].regions_px.clear();
  without.findings.findings[0].box_px = with.findings.findings[0].box_px;
  const OverlayOptions no_letters{680, 0};
  const cv::Mat a = overlay_picture(made_up::photo(), with, no_letters);
  const cv::Mat b = overlay_picture(made_up::photo(), without, no_letters);
  REQUIRE(a.size() == b.size());
  cv::Mat difference;
  cv::absdiff(a, b, difference);
  const cv::Rect touched = cv::boundingRect(difference.reshape(1) > 0);
  // Interleaved channels: three columns a pixel. The outline is at most 3 px wide to each side.
  CHECK(touched.width / 3 >= 40);
  CHECK(touched.width / 3 <= 48);
  CHECK(touched.height >= 36);
  CHECK(touched.height <= 44);
}

TEST_CASE("a turned board is shown turned", "[report]") {
  const cv::Mat upright = overlay_picture(made_up::photo(), made_up::survey(2, 0), {680, 0});
  const cv::Mat turned = overlay_picture(made_up::photo(), made_up::survey(2, 90), {680, 0});
  CHECK(turned.rows - turned.cols > 100);
  CHECK(upright.cols > turned.cols);
}

TEST_CASE("an overlay belongs to the photo of its survey", "[report]") {
  Photo other = made_up::photo();
  other.bgr = other.bgr(cv::Rect(0, 0, 100, 100));
  CHECK_THROWS_AS(overlay_picture(other, made_up::survey(1)), Error);
  CHECK_THROWS_AS(places_sheet(other, made_up::survey(1)), Error);
}

TEST_CASE("an overlay without findings, scale or outline is drawn too", "[report]") {
  Survey survey = made_up::survey(0);
  survey.zones.has_mm = false;
  survey.rectification.px_per_mm.reset();
  survey.rectification.outline_is_frame = true;
  survey.rectification.board_from_photo_px = cv::Matx33d::eye();
  survey.zones.grid = grid_over({-0.5, -0.5, 680, 480}, false);
  CHECK_FALSE(overlay_picture(made_up::photo(), survey).empty());
}

TEST_CASE("what cannot be seen is marked on the overlay", "[report]") {
  Survey survey = made_up::survey(0);
  const cv::Mat before = overlay_picture(made_up::photo(), survey, {680, 0});
  survey.check.hidden = cv::Mat::zeros(48, 68, CV_8UC1);
  survey.check.hidden_scale = 0.1;
  survey.check.hidden(cv::Rect(20, 10, 30, 20)).setTo(1);
  CHECK(changed(before, overlay_picture(made_up::photo(), survey, {680, 0})) > 0.005);
}

TEST_CASE("wrong overlay and sheet options are named", "[report]") {
  CHECK_THROWS_WITH(overlay_picture(made_up::photo(), made_up::survey(0), {0, 1}),
                    Catch::Contains("long_side_px"));
  CHECK_THROWS_WITH(places_sheet(made_up::photo(), made_up::survey(0), {0, 420}),
                    Catch::Contains("columns"));
}

TEST_CASE("a stop is heeded while drawing", "[report]") {
  std::stop_source source;
  source.request_stop();
  CHECK_THROWS_AS(
      overlay_picture(made_up::photo(), made_up::survey(1), {}, {source.get_token(), {}}), Error);
}

TEST_CASE("the sheet of places grows by rows of four", "[report]") {
  const cv::Mat four = places_sheet(made_up::photo(), made_up::survey(4));
  const cv::Mat seven = places_sheet(made_up::photo(), made_up::survey(7));
  CHECK(four.cols == seven.cols);
  CHECK(seven.rows - four.rows > 420);
}

TEST_CASE("places at the border of the photo and without findings are shown", "[report]") {
  Survey survey = made_up::survey(1);
  survey.findings.places = {{1, {660, 460, 20, 20}, {1}, 1}, {2, {0, 0, 680, 480}, {}, 0.5}};
  CHECK_FALSE(places_sheet(made_up::photo(), survey).empty());
  CHECK(place_square(survey, survey.findings.places[0]) == "B1");  // of its finding, not its crop
  CHECK(place_square(survey, survey.findings.places[1]) == "D5");
}

TEST_CASE("a survey without places gives a sheet that says so", "[report]") {
  const cv::Mat sheet = places_sheet(made_up::photo(), made_up::survey(0));
  CHECK(sheet.rows < 420);
  CHECK(cv::countNonZero(sheet.reshape(1) < 128) > 500);
}

TEST_CASE("no two residue classes share a letter, a hatch or a colour", "[report]") {
  for (const Residue a : k_residues)
    for (const Residue b : k_residues) {
      if (a == b) continue;
      CHECK(letter(a) != letter(b));
      CHECK(hatch_of(a) != hatch_of(b));
      CHECK(colour_bgr(a) != colour_bgr(b));
    }
}
