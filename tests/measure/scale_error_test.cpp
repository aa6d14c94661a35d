#include "measure/scale_error.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/measure/drawn.h"

using namespace verdigrid;
using Catch::Matchers::WithinRel;

TEST_CASE("a length off by one per cent is an area off by two") {
  Rectification r = rectification_of({.tilt_deg = 10});
  r.length_rel_sd = 0.01;
  r.edge_sd_px = 0;
  const ScaleError scale(r);
  for (const cv::Point2d p : {cv::Point2d(50, 37.5), cv::Point2d(1, 1)})
    CHECK_THAT(std::sqrt(ScaleError::variance(scale.errors(50, p))), WithinRel(1.0, 1e-9));
}

// Against slips drawn at random: the spread of a corner square's area, the centre's taken off.
TEST_CASE("away from the centre the corners' slips add what random slips show") {
  Rectification r = rectification_of({.tilt_deg = 12});
  r.edge_sd_px = 1.5;
  const ScaleError scale(r);
  const cv::Point2d place(6, 6), centre(50, 37.5);
  const cv::Matx33d ideal_from_board = r.board_from_photo_px.inv();
  const std::vector<cv::Point2d> board{{0, 0}, {100, 0}, {100, 75}, {0, 75}};
  std::mt19937 random(3);
  std::normal_distribution<double> slip(0, r.edge_sd_px);
  double sum = 0;
  constexpr int k_rounds = 4000;
  for (int i = 0; i < k_rounds; ++i) {
    std::vector<cv::Point2d> moved = mapped(ideal_from_board, board);
    for (cv::Point2d& p : moved) p += cv::Point2d(slip(random), slip(random));
    const cv::Matx33d h = *homography_from_quad(moved, board);
    const auto change = [&](cv::Point2d p) {
      return std::log(local_area_scale(h, mapped(ideal_from_board, p)) *
                      local_area_scale(ideal_from_board, p));
    };
    const double off = change(place) - change(centre);
    sum += off * off;
  }
  // 4000 draws: the spread of a spread is 1 / sqrt(2 x 4000) = 1.1 %; first order adds a little.
  CHECK_THAT(std::sqrt(ScaleError::variance(scale.errors(1, place))),
             WithinRel(std::sqrt(sum / k_rounds), 0.04));
  CHECK(ScaleError::variance(scale.errors(1, centre)) < 1e-18);
}

TEST_CASE("no area has no error, and the photo's frame does not slip") {
  Rectification r = rectification_of({});
  r.length_rel_sd = 0.01;
  CHECK(ScaleError::variance(ScaleError(r).errors(0, {1, 1})) == 0);
  r.outline_is_frame = true;
  CHECK_THAT(std::sqrt(ScaleError::variance(ScaleError(r).errors(50, {1, 1}))),
             WithinRel(1.0, 1e-9));
}
