#include "rectify/rectify.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "base/error.h"
#include "rectify/card_layout.h"
#include "rectify/frame.h"
#include "rectify/main_sides.h"
#include "tests/rectify/known_camera.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double k_rounding_mm = 1e-4;  // the hull under the main sides is kept in float

KnownCamera tilted_camera() {
  KnownCamera camera;
  camera.tilt_deg = 12;
  camera.roll_deg = 7;
  camera.aimed_at_mm = {90, 70};
  return camera;
}

Outline outline_of(const Ring& ring_px) {
  Outline outline;
  outline.px.outer = ring_px;
  outline.corners_px = *main_sides(ring_px);
  outline.confidence = 1;
  return outline;
}

RectifyOptions sized(double width_mm, double height_mm) {
  RectifyOptions options;
  options.board_mm = cv::Size2d(width_mm, height_mm);
  options.focal_px = KnownCamera().focal_px;
  return options;
}

CardReading card_in(const KnownCamera& camera, cv::Point2d at_mm, double printed,
                    double height_mm) {
  CardReading reading;
  for (const CardMarker& marker : card_layout().markers) {
    const cv::Rect2d& s = marker.square_mm;
    reading.ids.push_back(marker.id);
    for (const cv::Point2d c :
         {s.tl(), cv::Point2d(s.br().x, s.y), s.br(), cv::Point2d(s.x, s.br().y)}) {
      reading.corners_mm.push_back(c);
      reading.corners_px.push_back(camera.seen(at_mm + c * printed, height_mm));
    }
  }
  return reading;
}

std::string sentence_of(const RectifyOptions& options) {
  try {
    options.check();
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::wrong_use);
    return e.what();
  }
  return "";
}

}  // namespace

TEST_CASE("board size and outline give the true millimetres, scale and tilt of a tilted view") {
  const KnownCamera camera = tilted_camera();
  const Rectification r = rectified_by_outline(
      camera.size_px, outline_of(camera.seen(rectangle_mm(180, 140))), sized(180, 140));
  CHECK(r.way == ScaleWay::board_size_outline);
  for (const cv::Point2d p : {cv::Point2d(0, 0), cv::Point2d(180, 140), cv::Point2d(33, 121)}) {
    const cv::Point2d back = board_point(r, camera.seen(p));
    CHECK_THAT(back.x, WithinAbs(p.x, k_rounding_mm));
    CHECK_THAT(back.y, WithinAbs(p.y, k_rounding_mm));
  }
  REQUIRE(r.tilt_deg);
  CHECK_THAT(*r.tilt_deg, WithinAbs(12, 1e-3));
  // Mean of the two directions at the middle of a tilted plane: f/d * cos(12 deg)^(1/2).
  CHECK_THAT(r.px_per_mm->value,
             WithinRel(camera.px_per_mm() * std::sqrt(std::cos(12 * CV_PI / 180)), 0.01));
  CHECK(r.px_per_mm->low < r.px_per_mm->value);
  CHECK(r.px_per_mm->high > r.px_per_mm->value);
}

TEST_CASE("front, turned and back photos give one place the same millimetres") {
  const Ring board = rectangle_mm(180, 120);
  const cv::Point2d place(31, 17);
  KnownCamera camera;
  camera.aimed_at_mm = {90, 60};
  const Rectification front =
      rectified_by_outline(camera.size_px, outline_of(camera.seen(board)), sized(180, 120));
  const cv::Point2d expected = board_point(front, camera.seen(place));
  CHECK_THAT(expected.x, WithinAbs(place.x, k_rounding_mm));
  CHECK_THAT(expected.y, WithinAbs(place.y, k_rounding_mm));

  // The board lies turned in the photo; turning the photo clockwise sets it upright again.
  for (const int turn : {90, 180, 270}) {
    KnownCamera turned = camera;
    turned.roll_deg = -turn;
    RectifyOptions options = sized(180, 120);
    options.turn_deg = turn;
    const Rectification r =
        rectified_by_outline(turned.size_px, outline_of(turned.seen(board)), options);
    const cv::Point2d p = board_point(r, turned.seen(place));
    INFO("turn " << turn);
    CHECK_THAT(p.x, WithinAbs(place.x, k_rounding_mm));
    CHECK_THAT(p.y, WithinAbs(place.y, k_rounding_mm));
  }

  // The back, flipped about the vertical axis: what was at x is seen at 180 - x.
  RectifyOptions back = sized(180, 120);
  back.side = Side::back;
  const auto flipped = [](cv::Point2d p) { return cv::Point2d(180 - p.x, p.y); };
  const Rectification r =
      rectified_by_outline(camera.size_px, outline_of(camera.seen(rectangle_mm(180, 120))), back);
  const cv::Point2d p = board_point(r, camera.seen(flipped(place)));
  CHECK_THAT(p.x, WithinAbs(place.x, k_rounding_mm));
  CHECK_THAT(p.y, WithinAbs(place.y, k_rounding_mm));
  CHECK(signed_area(r.outline_board.outer) > 0);
}

TEST_CASE("corners start where the person sees top left, before a turn") {
  KnownCamera camera;
  camera.aimed_at_mm = {90, 60};
  RectifyOptions options = sized(180, 120);
  options.corners_px = camera.seen(rectangle_mm(180, 120));
  const Photo photo = plain_photo(camera.size_px, {90, 90, 90});
  const Rectification r = rectify(photo, options);
  CHECK(r.way == ScaleWay::board_size_corners);
  const cv::Point2d p = board_point(r, camera.seen(cv::Point2d(10, 20)));
  CHECK_THAT(p.x, WithinAbs(10, k_rounding_mm));
  CHECK_THAT(p.y, WithinAbs(20, k_rounding_mm));

  KnownCamera turned = camera;
  turned.roll_deg = -90;
  options.turn_deg = 90;
  options.corners_px = turned.seen({{180, 0}, {180, 120}, {0, 120}, {0, 0}});  // as seen unturned
  const Rectification t = rectify(photo, options);
  const cv::Point2d q = board_point(t, turned.seen(cv::Point2d(10, 20)));
  CHECK_THAT(q.x, WithinAbs(10, k_rounding_mm));
  CHECK_THAT(q.y, WithinAbs(20, k_rounding_mm));
}

TEST_CASE("a board with tongue, chamfer and step is scaled by the rectangle around it") {
  const KnownCamera camera = tilted_camera();
  const Ring board{{0, 0},     {150, 0},  {160, 10}, {160, 90}, {140, 90},
                   {140, 100}, {60, 100}, {60, 90},  {0, 90}};
  const Rectification r =
      rectified_by_outline(camera.size_px, outline_of(camera.seen(board)), sized(160, 100));
  for (const cv::Point2d p : board) {
    const cv::Point2d back = board_point(r, camera.seen(p));
    CHECK_THAT(back.x, WithinAbs(p.x, 1e-3));  // the hull is kept in float
    CHECK_THAT(back.y, WithinAbs(p.y, 1e-3));
  }
  CHECK_THAT(area(r.outline_board), WithinRel(area({board, {}}), 1e-4));
}

TEST_CASE("the card gives millimetres anywhere on its plane") {
  const KnownCamera camera = tilted_camera();
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  options.card = CardUse{100.0, 0.0, camera.distance_mm};
  const Rectification r =
      rectified_by_card(camera.size_px, card_in(camera, {0, 100}, 1, 0),
                        outline_of(camera.seen(rectangle_mm(150, 90))), options);
  CHECK_THAT(board_size(r).width, WithinAbs(150, 1e-3));
  CHECK_THAT(board_size(r).height, WithinAbs(90, 1e-3));
  const cv::Point2d p = board_point(r, camera.seen(cv::Point2d(44, 55)));
  CHECK_THAT(p.x, WithinAbs(44, 1e-3));
  CHECK_THAT(p.y, WithinAbs(55, 1e-3));
  CHECK_THAT(*r.tilt_deg, WithinAbs(12, 1e-3));
}

TEST_CASE("a measured bar and a known height correct a shrunken, low-lying card") {
  KnownCamera camera;
  camera.aimed_at_mm = {75, 80};
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  const CardReading card = card_in(camera, {0, 100}, 0.97, -8);  // 8 mm below the board
  const Outline outline = outline_of(camera.seen(rectangle_mm(150, 90)));
  options.card = CardUse{97.0, 8.0, camera.distance_mm + 8};
  const Rectification known = rectified_by_card(camera.size_px, card, outline, options);
  CHECK_THAT(board_size(known).width, WithinRel(150, 1e-4));

  options.card = CardUse{};
  const Rectification unknown = rectified_by_card(camera.size_px, card, outline, options);
  // 3 % of print and 8 mm in 408 mm: lengths come out 3.1 % + 2.0 % too long; both are covered.
  CHECK_THAT(board_size(unknown).width, WithinRel(150 / 0.97 * 408 / 400, 1e-4));
  CHECK(unknown.px_per_mm->contains(known.px_per_mm->value));
  CHECK(unknown.px_per_mm->width() > 3 * known.px_per_mm->width());
  CHECK(unknown.remarks.size() == 2);
  CHECK(known.remarks.empty());
}

// 10 mm at 400 mm camera distance is 5 % of area: 1 - (390/400)^2 = 4.9 %.
TEST_CASE("ten millimetres of height at 400 mm are five percent of area") {
  KnownCamera camera;
  camera.aimed_at_mm = {75, 80};
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  const CardReading card = card_in(camera, {0, 100}, 1, 0);
  const Outline outline = outline_of(camera.seen(rectangle_mm(150, 90)));
  options.card = CardUse{100.0, 0.0, 400.0};
  const double flat = area(rectified_by_card(camera.size_px, card, outline, options).outline_board);
  options.card->height_mm = 10;
  const double high = area(rectified_by_card(camera.size_px, card, outline, options).outline_board);
  CHECK_THAT(1 - high / flat, WithinAbs(0.049, 0.001));
}

TEST_CASE("card intervals cover the true scale when print and height are drawn at random") {
  std::mt19937 random(7);
  std::normal_distribution<double> print(1, 0.025), height(0, 6), corner(0, 0.3);
  constexpr int k_views = 400;
  int covered = 0;
  for (int i = 0; i < k_views; ++i) {
    KnownCamera camera = tilted_camera();
    const double lies_mm = height(random);
    CardReading card = card_in(camera, {0, 100}, print(random), lies_mm);
    for (cv::Point2d& p : card.corners_px) p += cv::Point2d(corner(random), corner(random));
    RectifyOptions options;
    options.focal_px = camera.focal_px;
    options.card = CardUse{};
    const Outline outline = outline_of(camera.seen(rectangle_mm(150, 90)));
    const Rectification r = rectified_by_card(camera.size_px, card, outline, options);
    const Rectification truth = rectified_by_outline(camera.size_px, outline, sized(150, 90));
    covered += r.px_per_mm->contains(truth.px_per_mm->value);
  }
  CHECK(covered >= 0.90 * k_views);
  CHECK(covered <= 0.99 * k_views);
}

TEST_CASE("size intervals cover the true scale when edges and ruler are drawn at random") {
  std::mt19937 random(11);
  std::normal_distribution<double> side(0, 1), ruler(0, 0.25);
  constexpr int k_views = 400;
  int covered = 0;
  const KnownCamera camera = tilted_camera();
  const Ring ring = camera.seen(rectangle_mm(80, 60));
  const double truth =
      rectified_by_outline(camera.size_px, outline_of(ring), sized(80, 60)).px_per_mm->value;
  for (int i = 0; i < k_views; ++i) {
    RectifyOptions options = sized(80 + ruler(random), 60 + ruler(random));
    options.corners_px = ring;
    for (cv::Point2d& p : options.corners_px) p += cv::Point2d(side(random), side(random));
    covered += rectified_by_corners(camera.size_px, options).px_per_mm->contains(truth);
  }
  CHECK(covered >= 0.90 * k_views);
  CHECK(covered <= 0.99 * k_views);
}

TEST_CASE("two points and their distance scale the board") {
  const KnownCamera camera = tilted_camera();
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  options.points_px = {camera.seen(cv::Point2d(10, 10)), camera.seen(cv::Point2d(110, 60))};
  options.distance_mm = std::hypot(100, 50);
  const Rectification r =
      rectified_by_points(camera.size_px, outline_of(camera.seen(rectangle_mm(150, 90))), options);
  CHECK(r.way == ScaleWay::two_points);
  CHECK_THAT(board_size(r).width, WithinRel(150, 1e-4));
  CHECK_THAT(board_size(r).height, WithinRel(90, 1e-4));
  CHECK(r.has_scale());
}

TEST_CASE("without a scale one unit is one photo px at the outline's centre") {
  const KnownCamera camera = tilted_camera();
  RectifyOptions options;
  options.focal_px = camera.focal_px;
  const Rectification r = rectified_without_scale(
      camera.size_px, outline_of(camera.seen(rectangle_mm(150, 90))), options);
  CHECK_FALSE(r.has_scale());
  CHECK(r.length_rel_sd == 0);
  CHECK_THAT(pixel_area_board(r, centre_of(r.outline_px.outer)), WithinRel(1, 1e-6));
  CHECK_THAT(board_size(r).width / board_size(r).height, WithinRel(150.0 / 90, 1e-4));
}

TEST_CASE("without an outline the photo frame stands in, turned and mirrored as asked") {
  RectifyOptions options;
  const Rectification front = rectified_without_scale({400, 300}, std::nullopt, options);
  CHECK(front.outline_is_frame);
  CHECK_FALSE(front.tilt_deg);
  CHECK_THAT(board_point(front, {0, 0}).x, WithinAbs(0.5, 1e-9));
  CHECK_THAT(board_size(front).width, WithinAbs(400, 1e-9));
  CHECK_FALSE(front.remarks.empty());

  options.turn_deg = 90;
  options.side = Side::back;
  const Rectification back = rectified_without_scale({400, 300}, std::nullopt, options);
  CHECK_THAT(board_size(back).width, WithinAbs(300, 1e-9));
  // Bottom left as decoded is top left once turned clockwise, and top right once mirrored.
  const cv::Point2d p = board_point(back, {0, 299});
  CHECK_THAT(p.x, WithinAbs(299.5, 1e-9));
  CHECK_THAT(p.y, WithinAbs(0.5, 1e-9));
}

TEST_CASE("a known lens straightens a bowed board") {
  Lens lens;
  lens.camera = {1200, 0, 799.5, 0, 1200, 599.5, 0, 0, 1};
  lens.distortion = {-0.15, 0.03, 0.0005, -0.0004, 0};
  lens.photo_size_px = {1600, 1200};
  KnownCamera camera = tilted_camera();
  Ring ring_mm;  // ten points a side
  for (const auto& [from, to] : {std::pair<cv::Point2d, cv::Point2d>{{0, 0}, {180, 0}},
                                 {{180, 0}, {180, 140}},
                                 {{180, 140}, {0, 140}},
                                 {{0, 140}, {0, 0}}})
    for (int i = 0; i < 10; ++i) ring_mm.push_back(from + (to - from) * (i / 10.0));
  Ring ring_px;
  for (const cv::Point2d p : ring_mm) ring_px.push_back(distorted_px(lens, camera.seen(p)));
  RectifyOptions options = sized(180, 140);
  options.lens = lens;
  const Rectification r = rectified_by_outline(camera.size_px, outline_of(ring_px), options);
  for (const cv::Point2d p : {cv::Point2d(5, 5), cv::Point2d(90, 70), cv::Point2d(170, 20)}) {
    const cv::Point2d back = board_point(r, distorted_px(lens, camera.seen(p)));
    CHECK_THAT(back.x, WithinAbs(p.x, 0.02));  // hull corners in float, undistortion to 1e-9
    CHECK_THAT(back.y, WithinAbs(p.y, 0.02));
  }
  CHECK_THAT(*r.tilt_deg, WithinAbs(12, 0.05));
}

TEST_CASE("what does not fit together is refused with a sentence") {
  RectifyOptions options;
  options.turn_deg = 45;
  CHECK_THAT(sentence_of(options), Contains("45") && Contains("90"));
  options = sized(0, 100);
  CHECK_THAT(sentence_of(options), Contains("Board size"));
  options = {};
  options.corners_px = {{0, 0}, {10, 0}, {10, 10}};
  CHECK_THAT(sentence_of(options), Contains("3 points"));
  options.corners_px = {{0, 0}, {0, 10}, {10, 10}, {10, 0}};
  CHECK_THAT(sentence_of(options), Contains("clockwise"));
  options = {};
  options.distance_mm = 10;
  CHECK_THAT(sentence_of(options), Contains("belong together"));
  options.points_px = {{0, 0}, {3, 3}};
  CHECK_THAT(sentence_of(options), Contains("10 px apart"));
  options.points_px = {{0, 0}, {300, 3}};
  CHECK(sentence_of(options).empty());
  options.distance_mm = -1;
  CHECK_THAT(sentence_of(options), Contains("Distance"));
  options = {};
  options.card = CardUse{10.0, std::nullopt, std::nullopt};
  CHECK_THAT(sentence_of(options), Contains("bar"));
  options.card = CardUse{std::nullopt, 900.0, std::nullopt};
  CHECK_THAT(sentence_of(options), Contains("Height"));
  options.card = CardUse{std::nullopt, std::nullopt, 5.0};
  CHECK_THAT(sentence_of(options), Contains("Camera distance"));
}

TEST_CASE("a size given for the turned board, or for another board, is refused") {
  KnownCamera camera;
  camera.aimed_at_mm = {90, 60};
  const Outline outline = outline_of(camera.seen(rectangle_mm(180, 120)));
  CHECK_THROWS_WITH(rectified_by_outline(camera.size_px, outline, sized(120, 180)),
                    Contains("across") && Contains("180x120"));
  CHECK_THROWS_WITH(rectified_by_outline(camera.size_px, outline, sized(180, 80)),
                    Contains("1.500") && Contains("corners"));
  const Rectification noted = rectified_by_outline(camera.size_px, outline, sized(180, 111));
  REQUIRE_FALSE(noted.remarks.empty());
  CHECK_THAT(noted.remarks[0], Contains("check the size"));
}

TEST_CASE("a card too near the camera and a lens for another photo size are refused") {
  const KnownCamera camera = tilted_camera();
  RectifyOptions options;
  options.card = CardUse{100.0, 190.0, 300.0};
  CHECK_THROWS_WITH(
      rectified_by_card(camera.size_px, card_in(camera, {0, 100}, 1, 0), std::nullopt, options),
      Contains("190"));
  RectifyOptions lens = sized(180, 120);
  lens.lens = Lens{cv::Matx33d::eye(), {0, 0, 0, 0, 0}, {640, 480}, 0.1};
  lens.corners_px = camera.seen(rectangle_mm(180, 120));
  CHECK_THROWS_WITH(rectify(plain_photo(camera.size_px, {90, 90, 90}), lens), Contains("640x480"));
}

TEST_CASE("a size without an outline and a card that is not there are no result") {
  const Photo empty = plain_photo({800, 600}, {120, 120, 120});
  try {
    rectify(empty, sized(100, 80));
    FAIL("an outline was found on an empty photo");
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::no_result);
    CHECK_THAT(e.what(), Contains("corners"));
  }
  RectifyOptions card;
  card.card = CardUse{};
  CHECK_THROWS_WITH(rectify(empty, card), Contains("card was not found"));
  const Rectification none = rectify(empty, {});
  CHECK(none.outline_is_frame);
  CHECK_FALSE(none.has_scale());
}
