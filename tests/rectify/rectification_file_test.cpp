#include "rectify/rectification_file.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "rectify/rectify.h"
#include "tests/process.h"
#include "tests/rectify/known_camera.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;

namespace {

Rectification sample() {
  KnownCamera camera;
  camera.tilt_deg = 9;
  camera.roll_deg = 3.3;
  camera.aimed_at_mm = {50, 40};
  RectifyOptions options;
  options.board_mm = cv::Size2d(100, 80.1);
  options.corners_px = camera.seen(rectangle_mm(100, 80.1));
  options.side = Side::back;
  options.turn_deg = 180;
  Lens lens;
  lens.camera = {1200, 0, 799.5, 0, 1201, 599.5, 0, 0, 1};
  lens.distortion = {-0.1, 0.02, 0.001, -0.001, 1.0 / 7};
  lens.photo_size_px = camera.size_px;
  lens.rms_px = 0.1;
  options.lens = lens;
  Rectification r = rectify(plain_photo(camera.size_px, {0, 0, 0}), options);
  r.remarks = {"One sentence with \"quotes\" and µ.", "Another."};
  r.outline_px.holes.push_back({{700, 500}, {720, 500}, {710, 520}});
  return r;
}

void check_equal(const Rectification& a, const Rectification& b) {
  CHECK(a.way == b.way);
  CHECK(a.side == b.side);
  CHECK(a.turn_deg == b.turn_deg);
  CHECK(a.photo_size_px == b.photo_size_px);
  REQUIRE(a.lens.has_value() == b.lens.has_value());
  if (a.lens) {
    CHECK(a.lens->camera == b.lens->camera);
    CHECK(a.lens->distortion == b.lens->distortion);
    CHECK(a.lens->photo_size_px == b.lens->photo_size_px);
    CHECK(a.lens->rms_px == b.lens->rms_px);
  }
  CHECK(a.board_from_photo_px == b.board_from_photo_px);
  REQUIRE(a.px_per_mm.has_value() == b.px_per_mm.has_value());
  if (a.px_per_mm) {
    CHECK(a.px_per_mm->value == b.px_per_mm->value);
    CHECK(a.px_per_mm->low == b.px_per_mm->low);
    CHECK(a.px_per_mm->high == b.px_per_mm->high);
  }
  CHECK(a.length_rel_sd == b.length_rel_sd);
  CHECK(a.edge_sd_px == b.edge_sd_px);
  CHECK(a.tilt_deg == b.tilt_deg);
  CHECK(a.outline_px.outer == b.outline_px.outer);
  CHECK(a.outline_px.holes == b.outline_px.holes);
  CHECK(a.outline_board.outer == b.outline_board.outer);
  CHECK(a.outline_is_frame == b.outline_is_frame);
  CHECK(a.remarks == b.remarks);
}

std::string sentence_of(const std::string& text, ErrorKind kind = ErrorKind::bad_input) {
  try {
    rectification_from_json(text, "r.json");
  } catch (const Error& e) {
    CHECK(e.kind() == kind);
    return e.what();
  }
  return "";
}

// The sample with one field changed.
std::string with(const char* field, const nlohmann::json& value) {
  nlohmann::json j = nlohmann::json::parse(rectification_json(sample()));
  j[field] = value;
  return j.dump();
}

}  // namespace

TEST_CASE("a rectification reads back bit for bit, with and without scale and lens") {
  const TemporaryFolder folder;
  Rectification r = sample();
  save_rectification(folder.path() / "r.json", r);
  check_equal(load_rectification(folder.path() / "r.json"), r);
  r = rectify(plain_photo({300, 200}, {9, 9, 9}), {});
  check_equal(rectification_from_json(rectification_json(r), "r.json"), r);
}

TEST_CASE("a file that is no rectification, a newer one and broken fields are told apart") {
  CHECK_THAT(sentence_of("nonsense"), Contains("r.json") && Contains("no verdigrid-rectification"));
  CHECK_THAT(sentence_of("[]"), Contains("no verdigrid-rectification"));
  CHECK_THAT(sentence_of(with("version", 2), ErrorKind::storage), Contains("newer"));
  CHECK_THAT(sentence_of(with("version", "1")), Contains("version"));
  CHECK_THAT(sentence_of(with("way", "guess")), Contains("guess"));
  CHECK_THAT(sentence_of(with("turn_deg", 45)), Contains("turn_deg"));
  CHECK_THAT(sentence_of(with("photo_size_px", {0, 5})), Contains("photo size"));
  CHECK_THAT(sentence_of(with("board_from_photo_px", {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}})),
             Contains("inverse"));
  CHECK_THAT(sentence_of(with("remarks", 7)), Contains("field"));
  CHECK_THAT(sentence_of(with("px_per_mm", {{"value", 5}, {"low_95", 6}, {"high_95", 7}})),
             Contains("px_per_mm"));
}

TEST_CASE("a rectification fits only photos of its size") {
  const Rectification r = sample();
  CHECK_NOTHROW(check_fits(r, r.photo_size_px, "r.json"));
  CHECK_THROWS_WITH(check_fits(r, {10, 20}, "r.json"), Contains("1600x1200") && Contains("10x20"));
}
