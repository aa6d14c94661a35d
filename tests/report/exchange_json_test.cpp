// Findings for other programs, read back by readers of other programs' kind.

#include "report/exchange_json.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/regions.h"
#include "photo/encode.h"
#include "tests/process.h"
#include "tests/report/made_up_survey.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

// Five findings: a blot, a ring with a hole, two pieces, a single pixel, and one at the corner.
Survey drawn_survey() {
  Survey s = made_up::survey(0);
  const cv::Size size = s.photo_size_px;
  cv::Mat ids = cv::Mat::zeros(size, CV_16UC1);
  cv::circle(ids, {120, 130}, 17, cv::Scalar(1), cv::FILLED);
  cv::circle(ids, {220, 130}, 20, cv::Scalar(2), cv::FILLED);
  cv::circle(ids, {220, 130}, 9, cv::Scalar(0), cv::FILLED);
  cv::rectangle(ids, {300, 100, 7, 5}, cv::Scalar(3), cv::FILLED);
  cv::rectangle(ids, {320, 110, 3, 9}, cv::Scalar(3), cv::FILLED);
  ids.at<std::uint16_t>(200, 300) = 4;
  cv::rectangle(ids, {0, 0, 4, 2}, cv::Scalar(5), cv::FILLED);
  s.findings.finding_of_px = ids;
  for (int id = 1; id <= 5; ++id) {
    const cv::Mat mask = ids == id;
    Finding f = made_up::finding(id, k_residues[static_cast<size_t>(id)], cv::boundingRect(mask));
    f.area_px = cv::countNonZero(mask);
    f.regions_px = border_polygons(mask, {0, 0});
    s.findings.findings.push_back(f);
  }
  return s;
}

cv::Mat mask_of(const std::vector<Polygon>& regions, cv::Size size) {
  return picture_of(regions, size, 1);
}

}  // namespace

TEST_CASE("an independent reader finds every finding's pixels in the COCO file", "[report]") {
  const test::TemporaryFolder t;
  const Survey s = drawn_survey();
  write_file(t.path() / "f.json", coco_json(s));
  cv::Mat ids;
  s.findings.finding_of_px.convertTo(ids, CV_8UC1);
  write_file(t.path() / "ids.png", png_bytes(ids));
  const test::Outcome ran =
      test::run({"/usr/bin/python3", VERDIGRID_COCO_READER, (t.path() / "f.json").string(),
                 (t.path() / "ids.png").string()});
  CAPTURE(ran.err);
  CHECK(ran.code == 0);
  CHECK(ran.out == "5 annotations read\n");
}

TEST_CASE("regions come back from COCO as they went, a single pixel included", "[report]") {
  const Survey s = drawn_survey();
  const auto regions = coco_regions(coco_json(s), "f.json", s.photo.name, s.photo_size_px);
  REQUIRE(regions.size() == s.findings.findings.size());
  for (size_t i = 0; i < regions.size(); ++i) {
    const Finding& f = s.findings.findings[i];
    CAPTURE(f.id);
    CHECK(regions[i].residue == f.residue);
    const cv::Mat was = mask_of(f.regions_px, s.photo_size_px);
    CHECK(cv::countNonZero(was) == f.area_px);
    CHECK(cv::countNonZero(was != mask_of(regions[i].regions_px, s.photo_size_px)) == 0);
  }
}

TEST_CASE("what is no COCO file of this photo is refused by the field that is wrong", "[report]") {
  const Survey s = drawn_survey();
  const auto read = [&](const nlohmann::json& j) {
    return coco_regions(j.dump(), "f.json", s.photo.name, s.photo_size_px);
  };
  const auto good = nlohmann::json::parse(coco_json(s));
  CHECK_THROWS_WITH(coco_regions("[", "f.json", "", {1, 1}), Contains("f.json"));
  const auto broken = [&](const char* pointer, const nlohmann::json& value) {
    nlohmann::json j = good;
    j[nlohmann::json::json_pointer(pointer)] = value;
    return j;
  };
  CHECK_THROWS_WITH(read(broken("/annotations", 3)), Contains("annotations"));
  CHECK_THROWS_WITH(read(broken("/images/0/width", 7)), Contains("680 x 480"));
  CHECK_THROWS_WITH(read(broken("/annotations/2/category_id", 77)),
                    Contains("annotations[2].category_id"));
  CHECK_THROWS_WITH(read(broken("/annotations/0/segmentation", {{1, 2, 3}})),
                    Contains("annotations[0].segmentation"));
  CHECK_THROWS_WITH(read(broken("/annotations/0/segmentation", {{1, 2, 3, 4, 1e9, 5}})),
                    Contains("outside"));
  CHECK_THROWS_WITH(read(broken("/annotations/1/segmentation/counts", {5, 1 << 30})),
                    Contains("past the picture"));
  CHECK_THROWS_WITH(read(broken("/annotations/1/segmentation/counts", "abc")),
                    Contains("compressed"));
  // A class that this program does not know is a region all the same.
  CHECK(read(broken("/categories/1/name", "mould"))[0].residue == Residue::unsure);
}

TEST_CASE("polygons on the board have the area of their pixels", "[report]") {
  const Survey s = drawn_survey();
  const auto j = nlohmann::json::parse(polygons_json(s));
  CHECK(j["unit"] == "mm");
  REQUIRE(j["findings"].size() == 5);
  for (size_t i = 0; i < 5; ++i) {
    double mm2 = 0;
    const auto ring = [](const nlohmann::json& points) {
      Ring r;
      for (const auto& p : points) r.push_back({p[0].get<double>(), p[1].get<double>()});
      return r;
    };
    for (const auto& region : j["findings"][i]["regions"]) {
      Polygon p{ring(region["outer"]), {}};
      for (const auto& hole : region["holes"]) p.holes.push_back(ring(hole));
      mm2 += area(p);
    }
    const double px_mm2 = 1 / (made_up::k_px_per_mm * made_up::k_px_per_mm);
    CHECK_THAT(mm2, WithinAbs(static_cast<double>(s.findings.findings[i].area_px) * px_mm2, 1e-9));
  }
}
