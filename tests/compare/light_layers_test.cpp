#include "compare/light_layers.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "synthetic/random.h"
#include "synthetic/shot.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

synthetic::CameraSpec camera(double rotation_deg, double glare) {
  synthetic::CameraSpec c;
  c.seed = 11;
  c.photo_px = {640, 480};
  c.tilt_deg = 4;
  c.rotation_deg = rotation_deg;
  c.glare = glare;
  c.gloss = glare;
  return c;
}

// A board with a lamp mirrored in it, the same through crossed polarisers from elsewhere, and what
// the plain photo would show without the lamp.
struct Lit {
  synthetic::Board board = synthetic::render_board(synthetic::random_board(31), 8);
  synthetic::Shot plain = synthetic::shot(board, camera(3, 1)),
                  cross = synthetic::shot(board, camera(-9, 0)),
                  wanted = synthetic::shot(board, camera(3, 0));
  Rectification rectification = rectification_from(plain.truth);
};

double mean_difference(const cv::Mat& a, const cv::Mat& b, const cv::Mat& where) {
  cv::Mat off;
  cv::absdiff(a, b, off);
  const cv::Scalar m = cv::mean(off, where);
  return (m[0] + m[1] + m[2]) / 3;
}

}  // namespace

TEST_CASE("glare of a plain photo is read from the cross-polarised one", "[slow]") {
  const Lit lit;
  const Photo plain = photo_of(lit.plain, "plain.png"), cross = photo_of(lit.cross, "cross.png");
  const LightLayers layers = light_layers(plain, lit.rectification, cross);
  // Places of the board lie where the other camera saw them.
  for (double share : {0.2, 0.5, 0.8}) {
    const cv::Rect2d box = bounding_box(lit.plain.truth.outline_mm.outer);
    const cv::Point2d mm{box.x + share * box.width, box.y + (1 - share) * box.height};
    const cv::Point2d there =
        layers.alignment.after_from_before(photo_px_of(lit.plain.truth.view, mm));
    CHECK_THAT(cv::norm(there - photo_px_of(lit.cross.truth.view, mm)), WithinAbs(0, 1));
  }
  CHECK(layers.glare_percent > 0.1);
  CHECK(layers.left_percent < 0.2 * layers.glare_percent);
  REQUIRE(cv::countNonZero(layers.from_cross) > 50);
  // Half a level of light: the two lamps' colours are evened on what both show.
  const double before = mean_difference(plain.bgr, lit.wanted.bgr, layers.from_cross),
               after = mean_difference(layers.without_glare, lit.wanted.bgr, layers.from_cross);
  CHECK(after < 0.5 * before);
  // Elsewhere the plain photo stays as it was taken.
  cv::Mat far;
  cv::dilate(layers.from_cross, far, cv::Mat(), {-1, -1}, 12);
  CHECK(mean_difference(layers.without_glare, plain.bgr, ~far) == 0);
  const auto json = nlohmann::json::parse(layers_json(layers, plain, cross));
  CHECK(json.at("format") == "verdigrid-layers");
  CHECK(json.at("rms_px").at("value").get<double>() < 1);
  CHECK(json.at("plain").at("name") == "plain.png");
}

TEST_CASE("another board is no layer of this one", "[slow]") {
  const Lit lit;
  const synthetic::Shot other =
      synthetic::shot(synthetic::render_board(synthetic::random_board(32), 8), camera(-9, 0));
  CHECK_THROWS_AS(light_layers(photo_of(lit.plain, "plain.png"), lit.rectification,
                               photo_of(other, "other.png")),
                  Error);
  LightLayerOptions options;
  options.reach_px = -1;
  CHECK_THROWS_WITH(options.check(), Catch::Contains("reach_px"));
}
