#include "detect/map_edit.h"

#include <catch2/catch.hpp>

#include "detect/review.h"

using namespace verdigrid;

namespace {

const cv::Size k_size(80, 60);

Polygon rectangle(double x0, double y0, double x1, double y1) {
  return {{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, {}};
}

// Rust on 10..29 x 10..19, nothing elsewhere.
ResidueMap rusty() {
  ResidueMap map{cv::Mat::zeros(k_size, CV_8UC1), cv::Mat(k_size, CV_8UC1, cv::Scalar(20))};
  map.labels({10, 10, 20, 10}) = static_cast<int>(Residue::rust);
  map.confidence({10, 10, 20, 10}) = 180;
  return map;
}

MapEdit edit(EditKind kind, Polygon region, std::optional<Residue> residue = {}, int after = 0) {
  return {kind, {std::move(region)}, {}, residue, after};
}

int count(const ResidueMap& map, Residue r) {
  return cv::countNonZero(map.labels == static_cast<int>(r));
}

const Polygon k_half = rectangle(9.5, 9.5, 19.5, 19.5);  // whole pixels: 10..19 x 10..19

}  // namespace

TEST_CASE("each edit changes exactly the pixels of its region") {
  const ResidueMap look = rusty();
  const auto after = [&](const MapEdit& e) { return edited_map(look, {}, {e}); };
  CHECK(count(after(edit(EditKind::dismiss, k_half)), Residue::rust) == 100);
  CHECK(count(after(edit(EditKind::erase, k_half)), Residue::rust) == 100);
  const ResidueMap relabelled = after(edit(EditKind::relabel, k_half, Residue::leak_film));
  CHECK(count(relabelled, Residue::rust) == 100);
  CHECK(count(relabelled, Residue::leak_film) == 100);
  const ResidueMap drawn =
      after(edit(EditKind::draw, rectangle(39.5, 39.5, 49.5, 44.5), Residue::white_salt));
  CHECK(count(drawn, Residue::white_salt) == 50);
  CHECK(drawn.confidence.at<uchar>(40, 40) == 255);
  CHECK(drawn.confidence.at<uchar>(38, 40) == 20);
  const ResidueMap accepted = after(edit(EditKind::accept, k_half));
  CHECK(count(accepted, Residue::rust) == 200);
  CHECK(cv::countNonZero(accepted.confidence == 255) == 100);
  CHECK(count(look, Residue::rust) == 200);  // the look's own map stays
}

TEST_CASE("edits apply in order, and nothing is drawn outside the board") {
  const std::vector<MapEdit> edits{edit(EditKind::dismiss, rectangle(0, 0, 79, 59)),
                                   edit(EditKind::draw, k_half, Residue::rust)};
  CHECK(count(edited_map(rusty(), {}, edits), Residue::rust) == 100);
  CHECK(count(edited_map(rusty(), {}, edits, rectangle(-0.5, -0.5, 14.5, 59.5)), Residue::rust) ==
        50);
}

TEST_CASE("an answer given after an edit takes its own region back, one given before does not") {
  const Answer answer{{k_half}, AnswerKind::yes, Asked::pointed, Residue::rust};
  const Polygon all = rectangle(0, 0, 79, 59);
  CHECK(count(edited_map(rusty(), {answer}, {edit(EditKind::dismiss, all, {}, 0)}),
              Residue::rust) == 100);
  CHECK(count(edited_map(rusty(), {answer}, {edit(EditKind::dismiss, all, {}, 1)}),
              Residue::rust) == 0);
}

TEST_CASE("a brush covers a disc along its stroke, to within its border") {
  const double radius = 9;
  const auto area_of = [](const std::vector<Polygon>& polygons) {
    double sum = 0;
    for (const Polygon& p : polygons) sum += area(p);
    return sum;
  };
  CHECK(area_of(brushed_region({{40, 30}}, radius, k_size)) ==
        Approx(CV_PI * radius * radius).margin(2 * CV_PI * radius));
  CHECK(area_of(brushed_region({{25, 30}, {55, 30}}, radius, k_size)) ==
        Approx(CV_PI * radius * radius + 2 * radius * 30).margin(2 * CV_PI * radius + 60));
  CHECK(brushed_region({{200, 200}}, radius, k_size).empty());
}

TEST_CASE("edits that lack a part or have one too many are refused in words") {
  CHECK_THROWS_WITH(check(edit(EditKind::draw, k_half)), Catch::Contains("needs a residue class"));
  CHECK_THROWS_WITH(check(edit(EditKind::dismiss, k_half, Residue::rust)),
                    Catch::Contains("takes no residue class"));
  CHECK_THROWS_WITH(check(MapEdit{EditKind::accept}), Catch::Contains("needs a region"));
  CHECK_THROWS_WITH(check(MapEdit{EditKind::split, {}, {{1, 1}}}), Catch::Contains("two points"));
  CHECK_NOTHROW(check(MapEdit{EditKind::merge, {}, {{1, 1}, {5, 5}}}));
}

TEST_CASE("edits read back as they were written; a review of version 1 has none") {
  Review review;
  review.photo_name = "a.jpg";
  review.photo_sha256 = std::string(64, 'a');
  review.photo_size_px = k_size;
  review.features_version = 1;
  review.edits = {edit(EditKind::draw, k_half, Residue::rust, 2),
                  {EditKind::split, {}, {{1.5, 2}, {3, 4}}, {}, 3}};
  std::string text = review_json(review);
  CHECK(review_from_json(text, "r.json").edits == review.edits);
  review.edits.clear();
  text = review_json(review);
  text.replace(text.find("\"version\": 2"), 12, "\"version\": 1");
  text.replace(text.find(",\n \"edits\": []"), 14, "");
  CHECK(review_from_json(text, "r.json").edits.empty());
}
