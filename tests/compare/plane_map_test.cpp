#include "compare/plane_map.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

PlaneMap bent() {
  PlaneMap map;
  map.first = plain_lens({1600, 1200});
  map.second = plain_lens({1200, 900});
  map.first.k = {-0.06, 0.01};
  map.second.k = {0.08, -0.02};
  map.second_from_first = cv::Matx33d(0.5, -0.3, 250, 0.28, 0.55, -60, 2e-5, -3e-5, 1);
  return map;
}

// A lattice of places; `lift_px` of every third one is added along `up`.
std::vector<PlanePair> pairs(const PlaneMap& map, double lift_px, cv::Point2d up) {
  std::vector<PlanePair> all;
  int n = 0;
  for (int y = 100; y < 1150; y += 45)
    for (int x = 100; x < 1550; x += 45) {
      const cv::Point2d p(x, y);
      const bool is_tall = ++n % 3 != 0;
      all.push_back({p, map(p) + (is_tall ? lift_px * up : cv::Point2d()), 1, 2 * up});
    }
  return all;
}

}  // namespace

TEST_CASE("a lens is undone by its inverse") {
  PlainLens lens = plain_lens({1600, 1200});
  lens.k = {-0.12, 0.03};
  for (const cv::Point2d p : {cv::Point2d(3, 8), cv::Point2d(800, 600), cv::Point2d(1500, 900)})
    CHECK_THAT(cv::norm(seen_px(lens, ideal_px(lens, p)) - p), WithinAbs(0, 1e-9));
}

TEST_CASE("a plane map and its inverse cancel") {
  const PlaneMap map = bent(), back = inverted(map);
  for (const cv::Point2d p : {cv::Point2d(100, 80), cv::Point2d(800, 600), cv::Point2d(1500, 900)})
    CHECK_THAT(cv::norm(back(map(p)) - p), WithinAbs(0, 1e-6));
}

TEST_CASE("homography and both lenses come back from exact pairs") {
  const PlaneMap truth = bent();
  PlaneMap start = truth;
  start.first.k = start.second.k = {};
  start.second_from_first(0, 2) += 3;
  const PlaneMap found = fitted_plane_map(pairs(truth, 0, {1, 0}), start, {40, 40});
  for (const cv::Point2d p : {cv::Point2d(150, 150), cv::Point2d(800, 600), cv::Point2d(1400, 950)})
    CHECK_THAT(cv::norm(found(p) - truth(p)), WithinAbs(0, 0.05));
}

TEST_CASE("the fit sinks to the board where the tops of parts outnumber it") {
  const PlaneMap truth = bent();
  const cv::Point2d up(0.6, 0.8);
  const std::vector<PlanePair> all = pairs(truth, 3, up);  // two in three stand 3 px off
  PlaneMap map = truth;
  map.second_from_first(0, 2) += 3 * up.x;  // begins on the tops
  map.second_from_first(1, 2) += 3 * up.y;
  for (const PlaneCut cut : {PlaneCut{3, 6}, {1.5, 4}, {1, 3}, {0.6, 1.5}, {0.5, 1}})
    map = fitted_plane_map(all, map, cut);
  CHECK_THAT(cv::norm(map({800, 600}) - truth({800, 600})), WithinAbs(0, 0.3));
}

TEST_CASE("too few pairs leave the start as it is") {
  const PlaneMap start = bent();
  CHECK(fitted_plane_map({{{1, 1}, {2, 2}, 1, {}}}, start, {5, 5}) == start);
}

TEST_CASE("where no pair tells a held map stays near what is known") {
  const PlaneMap truth = bent();
  PlaneMap start = truth;  // a px off everywhere
  start.second_from_first(0, 2) += 1;
  // The corner that a lamp burnt out has no pairs; those next to it lie on something that bows.
  std::vector<PlanePair> told;
  for (const PlanePair& pair : pairs(truth, 0, {1, 0}))
    if (pair.first_px.x < 900) {
      told.push_back(pair);
      const double bow = std::max(0.0, (pair.first_px.x - 600) / 300);
      told.back().second_px.y += 2 * bow * bow;
    }
  PlaneHold hold{{}, 0.04};
  for (int y = 75; y < 1200; y += 150)
    for (int x = 100; x < 1600; x += 200) {
      const cv::Point2d p(x, y);
      hold.places.push_back({p, start(p), 1, {}});
    }
  const cv::Point2d corner(1500, 100), middle(400, 600);
  const auto off = [&](const PlaneMap& map, cv::Point2d p) { return cv::norm(map(p) - truth(p)); };
  const PlaneMap loose = fitted_plane_map(told, start, {6, 6}),
                 held = fitted_plane_map(told, start, {6, 6}, hold);
  CHECK(off(loose, corner) > 2.5);
  CHECK(off(held, corner) < 1.5);
  CHECK(off(held, middle) < 0.3);
}
