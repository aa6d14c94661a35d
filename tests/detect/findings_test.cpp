#include "detect/findings.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/deposits.h"
#include "detect/places.h"
#include "drawn_board.h"

using namespace verdigrid;

namespace {

struct Flagged {
  Photo photo;
  Rectification rectification;
  ResidueMap map;
};

Flagged flagged(cv::Size size) {
  Flagged f;
  f.photo.bgr = cv::Mat(size, CV_8UC3, cv::Scalar(45, 85, 28));
  f.rectification.photo_size_px = size;
  f.rectification.outline_is_frame = true;
  f.map.labels = cv::Mat(size, CV_8UC1, cv::Scalar(0));
  f.map.confidence = cv::Mat(size, CV_8UC1, cv::Scalar(51));
  return f;
}

void flag(Flagged& f, cv::Rect where, Residue residue, int confidence = 204) {
  f.map.labels(where) = static_cast<int>(residue);
  f.map.confidence(where) = confidence;
}

Findings findings(const Flagged& f, const FindingOptions& options = {}) {
  return findings_of(f.photo, f.rectification, f.map, options);
}

}  // namespace

TEST_CASE("no labels, no findings and no places", "[detect][findings]") {
  const auto result = findings(flagged({60, 40}));
  CHECK(result.findings.empty());
  CHECK(result.places.empty());
  CHECK(result.finding_of_px.empty());
}

TEST_CASE("a finding holds its pixels, centre, class and confidence", "[detect][findings]") {
  auto f = flagged({400, 300});
  flag(f, {100, 50, 20, 10}, Residue::copper_salt);
  const auto result = findings(f);
  REQUIRE(result.findings.size() == 1);
  const auto& one = result.findings[0];
  CHECK(one.id == 1);
  CHECK(one.residue == Residue::copper_salt);
  CHECK(one.area_px == 200);
  CHECK(one.box_px == cv::Rect(100, 50, 20, 10));
  CHECK(one.centre_px == cv::Point2d(109.5, 54.5));
  CHECK(one.confidence == Approx(0.8));
  REQUIRE(one.regions_px.size() == 1);
  CHECK(area(one.regions_px[0]) == 200);
  CHECK(result.finding_of_px.at<std::uint16_t>(55, 110) == 1);
  CHECK(cv::countNonZero(result.finding_of_px) == 200);
  CHECK_FALSE(one.reason.empty());
}

TEST_CASE("speckles of one deposit are merged by millimetres, others are not",
          "[detect][findings]") {
  auto f = flagged({1000, 400});
  f.rectification.px_per_mm = Interval{10, 9.9, 10.1};
  flag(f, {100, 100, 10, 10}, Residue::rust);
  flag(f, {113, 100, 10, 10}, Residue::rust);  // 3 px = 0.3 mm off
  flag(f, {300, 100, 10, 10}, Residue::rust);
  flag(f, {325, 100, 10, 10}, Residue::rust);  // 15 px = 1.5 mm off
  CHECK(findings(f).findings.size() == 3);
}

TEST_CASE("specks below the least area are dropped", "[detect][findings]") {
  auto f = flagged({1000, 400});
  f.rectification.px_per_mm = Interval{20, 19.9, 20.1};
  flag(f, {100, 100, 4, 4}, Residue::rust);  // 0.04 mm2
  flag(f, {500, 100, 5, 5}, Residue::rust);  // 0.0625 mm2
  REQUIRE(findings(f).findings.size() == 1);
  CHECK(findings(f).findings[0].area_px == 25);
}

TEST_CASE("the class is voted by area and unsure where classes tie", "[detect][findings]") {
  auto f = flagged({600, 400});
  flag(f, {100, 100, 20, 10}, Residue::white_salt);
  flag(f, {120, 100, 5, 10}, Residue::copper_salt);
  flag(f, {400, 100, 20, 10}, Residue::white_salt);
  flag(f, {420, 100, 19, 10}, Residue::copper_salt);
  const auto result = findings(f);
  REQUIRE(result.findings.size() == 2);
  std::vector<Residue> classes{result.findings[0].residue, result.findings[1].residue};
  CHECK(std::count(classes.begin(), classes.end(), Residue::white_salt) == 1);
  CHECK(std::count(classes.begin(), classes.end(), Residue::unsure) == 1);
}

TEST_CASE("places are at most twelve, worst first, inside the photo, and take in neighbours",
          "[detect][places]") {
  auto f = flagged({2000, 1500});
  for (int i = 0; i < 30; ++i)
    flag(f, {20 + 320 * (i % 6), 10 + 290 * (i / 6), 12 + i, 12}, Residue::copper_salt,
         100 + 5 * i);
  flag(f, {60, 40, 12, 12}, Residue::copper_salt);  // seen in its neighbour's crop
  const auto result = findings(f);
  REQUIRE(result.findings.size() == 31);
  CHECK(result.places.size() == 12);
  const cv::Rect frame({0, 0}, f.photo.size_px());
  for (std::size_t i = 0; i < result.places.size(); ++i) {
    const auto& place = result.places[i];
    CHECK(place.rank == static_cast<int>(i) + 1);
    CHECK((place.crop_px & frame) == place.crop_px);
    CHECK_FALSE(place.findings.empty());
    if (i > 0) CHECK(place.worth <= result.places[i - 1].worth);
  }
}

TEST_CASE("places are unlike each other: a second kind comes before many of the first",
          "[detect][places]") {
  auto f = flagged({3000, 2000});
  for (int i = 0; i < 8; ++i) flag(f, {100 + 350 * i, 200, 40, 40}, Residue::copper_salt, 250);
  flag(f, {1500, 1500, 40, 40}, Residue::rust, 200);
  const auto result = findings(f);
  REQUIRE(result.places.size() == 9);
  const auto rank_of_rust =
      std::find_if(result.places.begin(), result.places.end(), [&](const Place& p) {
        return result.findings[static_cast<std::size_t>(p.findings[0]) - 1].residue ==
               Residue::rust;
      });
  CHECK(rank_of_rust->rank <= 2);
}

TEST_CASE("a crop at the border stays inside and a large one fits the photo", "[detect][places]") {
  CHECK((crop_around({0, 0, 5, 5}, {100, 80}) & cv::Rect(0, 0, 100, 80)) ==
        crop_around({0, 0, 5, 5}, {100, 80}));
  CHECK(crop_around({0, 0, 100, 80}, {100, 80}) == cv::Rect(0, 0, 100, 80));
}

TEST_CASE("options that make no sense are named", "[detect][findings]") {
  FindingOptions options;
  options.merge_mm = -1;
  CHECK_THROWS_AS(options.check(), Error);
  CHECK_THROWS_WITH(options.check(), Catch::Contains("merge_mm"));
}

TEST_CASE("runs give the labels back", "[detect][runs]") {
  cv::Mat labels(20, 67, CV_8UC1);
  cv::RNG rng(3);
  rng.fill(labels, cv::RNG::UNIFORM, 0, 4);
  labels.rowRange(5, 9) = 0;
  cv::Mat again(labels.size(), CV_8UC1, cv::Scalar(0));
  for (const auto& run : runs_of(labels))
    again.row(run.y).colRange(run.from, run.to).setTo(run.label);
  CHECK(cv::countNonZero(again != labels) == 0);
}
