#include "rectify/card_reader.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "rectify/card_layout.h"
#include "rectify/rectify.h"
#include "tests/rectify/known_camera.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

KnownCamera slanted() {
  KnownCamera camera;
  camera.tilt_deg = 10;
  camera.roll_deg = 12;
  camera.distance_mm = 420;
  camera.aimed_at_mm = {90, 60};
  return camera;
}

// The card's markers as the camera sees them, drawn four times too large and reduced: smooth edges.
void draw_card(Photo& photo, const KnownCamera& camera, cv::Point2d at_mm) {
  constexpr int k_finer = 4;
  KnownCamera fine = camera;
  fine.size_px = camera.size_px * k_finer;
  fine.focal_px = camera.focal_px * k_finer;
  cv::Mat large;
  cv::resize(photo.bgr, large, fine.size_px, 0, 0, cv::INTER_NEAREST);
  const auto box = [&](const cv::Rect2d& b, const cv::Scalar& colour) {
    const cv::Rect2d r = b + at_mm;
    fill(large, fine.seen(Ring{r.tl(), {r.br().x, r.y}, r.br(), {r.x, r.br().y}}), colour);
  };
  const CardLayout card = card_layout();
  box({0, 0, card.size_mm.width, card.size_mm.height}, {250, 250, 250});
  for (const CardMarker& m : card.markers) {
    box(m.square_mm, {20, 20, 20});
    const std::vector<bool> black = marker_cells(m.id);
    const double cell = m.square_mm.width / k_marker_cells;
    for (int i = 0; i < k_marker_cells * k_marker_cells; ++i)
      if (!black[static_cast<size_t>(i)])
        box({m.square_mm.x + i % k_marker_cells * cell, m.square_mm.y + i / k_marker_cells * cell,
             cell, cell},
            {250, 250, 250});
  }
  cv::resize(large, photo.bgr, camera.size_px, 0, 0, cv::INTER_AREA);
}

// Pixel centres of the reduced picture lie half a fine pixel off: (p + 0.5) / 4 - 0.5.
constexpr double k_quarter_px = 0.25;

}  // namespace

TEST_CASE("the card's marker corners are found to a quarter pixel in a slanted view") {
  const KnownCamera camera = slanted();
  Photo photo = plain_photo(camera.size_px, {90, 110, 100});
  draw_card(photo, camera, {0, 25});
  const auto reading = find_card(photo);
  REQUIRE(reading);
  CHECK(reading->ids.size() == 4);
  for (size_t i = 0; i < reading->corners_px.size(); ++i) {
    const cv::Point2d seen = camera.seen(reading->corners_mm[i] + cv::Point2d(0, 25));
    CHECK(cv::norm(reading->corners_px[i] - seen) < k_quarter_px + 0.15);
  }
}

TEST_CASE("a drawn card scales the photo to half a percent, unmeasured things left out") {
  const KnownCamera camera = slanted();
  Photo photo = plain_photo(camera.size_px, {90, 110, 100});
  draw_card(photo, camera, {0, 25});
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  options.card = CardUse{100.0, 0.0, std::nullopt};
  const Rectification r = rectify(photo, options);
  CHECK(r.way == ScaleWay::scale_card);
  CHECK(r.outline_is_frame);
  const cv::Point2d a = board_point(r, camera.seen(cv::Point2d(10, 10)));
  const cv::Point2d b = board_point(r, camera.seen(cv::Point2d(150, 100)));
  CHECK_THAT(cv::norm(b - a), WithinRel(std::hypot(140, 90), 0.005));
  CHECK_THAT(*r.tilt_deg, WithinAbs(10, 0.5));
}

TEST_CASE("no card, one marker and two cards are told apart") {
  const KnownCamera camera = slanted();
  Photo photo = plain_photo(camera.size_px, {90, 110, 100});
  CHECK_FALSE(find_card(photo));
  draw_card(photo, camera, {0, 0});
  Photo one = photo;
  one.bgr = photo.bgr.clone();
  const cv::Point2d kept = camera.seen(cv::Point2d(16, 16));
  cv::Mat hidden(one.bgr.size(), CV_8UC1, cv::Scalar(255));
  cv::circle(hidden, kept, 60, 0, cv::FILLED);
  one.bgr.setTo(cv::Scalar(200, 200, 200), hidden);
  CHECK_FALSE(find_card(one));
  draw_card(photo, camera, {0, 75});
  CHECK_THROWS_WITH(find_card(photo), Contains("twice"));
}

TEST_CASE("the card carries four markers inside its cut line, each another one") {
  const CardLayout card = card_layout();
  for (size_t i = 0; i < 4; ++i) {
    const cv::Rect2d& s = card.markers[i].square_mm;
    CHECK(s.x > 3.3);  // a white cell's width around it, which the reader needs
    CHECK(s.br().x < card.size_mm.width - 3.3);
    CHECK(s.y > 3.3);
    CHECK(s.br().y < card.size_mm.height - 3.3);
    for (size_t k = 0; k < i; ++k)
      CHECK(marker_cells(static_cast<int>(i)) != marker_cells(static_cast<int>(k)));
  }
  CHECK_THROWS_AS(marker_cells(4), Error);
}
