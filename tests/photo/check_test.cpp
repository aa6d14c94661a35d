// The photo check on rendered photos whose faults are known.
#include "photo/check.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "synthetic/generate.h"
#include "synthetic/shot.h"

using namespace verdigrid;
using synthetic::CameraSpec;
using synthetic::Shot;

namespace {

const cv::Size k_photo_px{1200, 900};

const synthetic::Board& rendered_board() {
  static const synthetic::Board board = [] {
    synthetic::BoardOptions options;
    options.size_mm = cv::Size2d(100, 75);
    options.mask = synthetic::MaskColour::green;
    return synthetic::render_board(synthetic::random_board(5, options), 14);
  }();
  return board;
}

CameraSpec good_camera() {
  CameraSpec camera;
  camera.photo_px = k_photo_px;
  camera.defocus_px = 0.4;
  camera.noise = 0.004;
  camera.light_slope = 0.05;
  camera.vignetting = 0.05;
  return camera;
}

PhotoCheck checked(const Shot& shot, PhotoCheckOptions options = {}) {
  options.board_px = shot.truth.outline_px;
  return photo_check(synthetic::photo_of(shot), options);
}

const Shot& good_shot() {
  static const Shot shot = synthetic::shot(rendered_board(), good_camera());
  return shot;
}

PhotoCheck checked(const CameraSpec& camera, const PhotoCheckOptions& options = {}) {
  return checked(synthetic::shot(rendered_board(), camera), options);
}

const CheckItem& item(const PhotoCheck& check, const std::string& id) {
  const auto found = std::find_if(check.items.begin(), check.items.end(),
                                  [&](const CheckItem& i) { return i.id == id; });
  REQUIRE(found != check.items.end());
  return *found;
}

double share(const cv::Mat& hidden, int bit) {
  return static_cast<double>(cv::countNonZero(hidden & bit)) / static_cast<double>(hidden.total());
}

}  // namespace

TEST_CASE("a good rendered photo passes every check and hides nothing much", "[photo]") {
  const PhotoCheck check = checked(good_shot(), {.px_per_mm = 20.0, .tilt_deg = 0.5});
  for (const CheckItem& i : check.items) {
    CAPTURE(i.id, i.figure, i.sentence);
    CHECK(i.verdict <= Verdict::usable);
    CHECK_FALSE(i.source.empty());
    CHECK_FALSE(i.unit.empty());
    CHECK(i.sentence.back() == '.');
  }
  CHECK(item(check, "focus").verdict == Verdict::good);
  CHECK(item(check, "resolution").verdict == Verdict::good);
  CHECK(item(check, "tilt").verdict == Verdict::good);
  CHECK(check.verdict <= Verdict::usable);
  CHECK(share(check.hidden, 2) < 0.02);
}

TEST_CASE("defocus is measured, and the verdict falls with it", "[photo][slow]") {
  double before = 1e9;
  for (const double defocus : {0.5, 1.5, 3.0}) {
    CameraSpec camera = good_camera();
    camera.defocus_px = defocus;
    const PhotoCheck check = checked(camera);
    const CheckItem& focus = item(check, "focus");
    CAPTURE(defocus, focus.figure, focus.sentence);
    CHECK(focus.figure < before + 1e-9);
    before = std::min(before, focus.figure - 1e-9);
    if (defocus < 1) CHECK(focus.verdict == Verdict::good);
    if (defocus == 1.5) CHECK(focus.verdict == Verdict::usable);
    if (defocus >= 3) {
      CHECK(focus.verdict == Verdict::reshoot);
      CHECK(check.verdict == Verdict::reshoot);
      CHECK_THAT(focus.sentence, Catch::Contains("out of focus"));
      CHECK(share(check.hidden, 2) > 0.5);
    }
  }
}

TEST_CASE("noise does not pass for sharpness", "[photo][slow]") {
  for (const double defocus : {0.5, 3.0}) {
    CameraSpec camera = good_camera();
    camera.defocus_px = defocus;
    const CheckItem first = item(checked(camera), "focus");
    const Verdict quiet = first.verdict;
    CAPTURE(first.figure);
    camera.noise = 0.012;  // about 4 levels of 255 on the solder mask
    const CheckItem noisy = item(checked(camera), "focus");
    CAPTURE(defocus, noisy.figure, noisy.sentence);
    CHECK(noisy.verdict == quiet);
  }
}

TEST_CASE("a soft side is named and becomes unseen", "[photo]") {
  // The right third of a sharp photo blurred by 4 px.
  Shot shot = good_shot();
  shot.bgr = shot.bgr.clone();
  const cv::Rect right(k_photo_px.width * 2 / 3, 0, k_photo_px.width / 3, k_photo_px.height);
  cv::Mat soft;
  cv::GaussianBlur(shot.bgr, soft, {}, 4);
  soft(right).copyTo(shot.bgr(right));
  const PhotoCheck check = checked(shot);
  const CheckItem& focus = item(check, "focus");
  CAPTURE(focus.sentence);
  CHECK(focus.verdict == Verdict::usable);
  CHECK_THAT(focus.sentence, Catch::Contains("right is soft"));
  const int from = check.hidden.cols * 2 / 3;
  const cv::Mat in_soft = check.hidden.colRange(from, check.hidden.cols);
  CHECK(share(in_soft, 2) > 0.5);
  CHECK(share(check.hidden.colRange(0, from), 2) < 0.1);
}

TEST_CASE("with a scale, focus is asked only what the smallest feature needs", "[photo][slow]") {
  CameraSpec camera = good_camera();
  camera.defocus_px = 3;
  const Shot shot = synthetic::shot(rendered_board(), camera);
  CHECK(item(checked(shot), "focus").verdict == Verdict::reshoot);
  // 0.3 mm at 60 px per mm are 18 px: plenty, even blurred by 3.
  CHECK(item(checked(shot, {.px_per_mm = 60.0}), "focus").verdict <= Verdict::usable);
}

TEST_CASE("glare is found where the renderer put it", "[photo]") {
  CameraSpec camera = good_camera();
  const double without = item(checked(good_shot()), "glare").figure;
  camera.glare = 1;
  const Shot shot = synthetic::shot(rendered_board(), camera);
  const PhotoCheck check = checked(shot);
  const CheckItem& glare = item(check, "glare");
  CAPTURE(glare.figure, without, glare.sentence);
  REQUIRE(cv::countNonZero(shot.truth.glare) > 1000);
  CHECK(glare.figure > without);
  // Most of what is called glare lies in the true patch or its rim.
  cv::Mat truth, found = (check.hidden & 1) * 255;
  cv::resize(shot.truth.glare, truth, found.size(), 0, 0, cv::INTER_NEAREST);
  cv::dilate(truth, truth, cv::Mat(), {-1, -1}, 8);
  const double inside = cv::countNonZero(found & truth);
  CHECK(inside > 0.5 * cv::countNonZero(found));
  CHECK(cv::countNonZero(found) > 0);
}

TEST_CASE("overexposure is clipping", "[photo]") {
  CameraSpec camera = good_camera();
  const double normal = item(checked(good_shot()), "clipping").figure;
  camera.exposure_ev = 2.5;
  const CheckItem over = item(checked(camera), "clipping");
  CAPTURE(normal, over.figure);
  CHECK(over.figure > normal + 5);
  CHECK(over.verdict == Verdict::reshoot);
  CHECK_THAT(over.sentence, Catch::Contains("overexposed"));
}

TEST_CASE("uneven light is measured on the board's own colour", "[photo][slow]") {
  double before = -1;
  for (const double slope : {0.0, 0.3, 0.6}) {
    CameraSpec camera = good_camera();
    camera.light_slope = slope;
    camera.vignetting = 0;
    const CheckItem light = item(checked(camera), "light");
    CAPTURE(slope, light.figure, light.sentence);
    REQUIRE(light.verdict != Verdict::unknown);
    CHECK(light.figure > before + 5);
    // Light from 1 - slope to 1 + slope across the frame; the board's blocks reach 7/8 of it, and
    // the camera's curve bends it.
    const double expected = 100 * (1 - (1 - 0.8 * slope) / (1 + 0.8 * slope));
    CHECK(std::abs(light.figure - expected) < 25);
    before = light.figure;
  }
}

TEST_CASE("a colour cast is named", "[photo]") {
  CameraSpec camera = good_camera();
  const double neutral = item(checked(good_shot()), "colour-cast").figure;
  camera.white_balance = {0.6, 1.0, 1.35};
  const CheckItem cast = item(checked(camera), "colour-cast");
  CAPTURE(neutral, cast.figure, cast.sentence);
  CHECK(cast.figure > neutral + 5);
  CHECK(cast.verdict != Verdict::good);
  CHECK_THAT(cast.sentence, Catch::Contains("orange") || Catch::Contains("yellow"));
}

TEST_CASE("resolution follows px per mm and the smallest feature", "[photo]") {
  const auto verdict = [](double px_per_mm) {
    return item(checked(good_shot(), {.feature_mm = 0.3, .px_per_mm = px_per_mm}), "resolution");
  };
  CHECK(verdict(17).verdict == Verdict::good);
  CHECK_THAT(verdict(17).figure, Catch::WithinAbs(5.1, 1e-9));
  CHECK(verdict(12).verdict == Verdict::usable);
  CHECK(verdict(9.9).verdict == Verdict::reshoot);
  CHECK(item(checked(good_shot()), "resolution").verdict == Verdict::unknown);
}

TEST_CASE("tilt is noted and never a reason to reshoot", "[photo]") {
  const PhotoCheck check = checked(good_shot(), {.tilt_deg = 25.0});
  CHECK(item(check, "tilt").verdict == Verdict::usable);
  CHECK(check.verdict <= Verdict::usable);
}

TEST_CASE("nothing outside the board is hidden or judged", "[photo]") {
  CameraSpec camera = good_camera();
  camera.fill = 0.5;
  camera.defocus_px = 4;
  const Shot shot = synthetic::shot(rendered_board(), camera);
  const PhotoCheck check = checked(shot);
  cv::Mat board;
  cv::resize(shot.truth.board, board, check.hidden.size(), 0, 0, cv::INTER_NEAREST);
  cv::dilate(board, board, cv::Mat(), {-1, -1}, 3);
  CHECK(cv::countNonZero(check.hidden & ~board) == 0);
  CHECK(cv::countNonZero(check.hidden) > 0);
}

TEST_CASE("the check survives pictures without anything in them", "[photo]") {
  for (const cv::Size size : {cv::Size(1, 1), {3, 2000}, {640, 480}})
    for (const int level : {0, 90, 255}) {
      Photo photo;
      photo.bgr = cv::Mat(size, CV_8UC3, cv::Scalar::all(level));
      const PhotoCheck check = photo_check(photo, {});
      CHECK(check.items.size() == 7);
      CHECK(item(check, "focus").verdict == Verdict::unknown);
      CHECK_FALSE(check.hidden.empty());
    }
}

TEST_CASE("check options that make no sense are wrong use", "[photo]") {
  CHECK_THROWS_WITH(PhotoCheckOptions{.feature_mm = 0}.check(), Catch::Contains("feature"));
  CHECK_THROWS_WITH(PhotoCheckOptions{.px_per_mm = -1.0}.check(), Catch::Contains("scale"));
  CHECK_THROWS_WITH(PhotoCheckOptions{.tilt_deg = 91.0}.check(), Catch::Contains("tilt"));
}
