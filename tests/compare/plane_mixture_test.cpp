#include "compare/plane_mixture.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "compare/height_shift.h"
#include "synthetic/random.h"
#include "synthetic/shot.h"

using namespace verdigrid;

namespace {

const cv::Size k_photo{640, 480};
const cv::Size2d k_board_mm{160, 110};

// A board on a lattice, seen by two cameras with long lenses: of the places `parts` in 5 are tops,
// 1 to 9 mm above it.
struct TwoViews {
  synthetic::View first, second;
  Rectification rectification;
  PlaneMap map;
  std::vector<PlanePair> pairs;

  cv::Point2d second_of(cv::Point2d p_px) const {
    return photo_px_of(second, board_mm_of(first, p_px));
  }
  // Of a place `height_mm` above the board, where it is seen on the board's plane.
  static cv::Point2d seen_mm(const synthetic::View& view, cv::Point2d at_mm, double height_mm) {
    const cv::Point2d eye(view.eye_mm.x, view.eye_mm.y);
    return eye + (at_mm - eye) * (view.eye_mm.z / (view.eye_mm.z - height_mm));
  }
  PlanePair pair(cv::Point2d at_mm, double height_mm) const {
    return {photo_px_of(first, seen_mm(first, at_mm, height_mm)),
            photo_px_of(second, seen_mm(second, at_mm, height_mm)),
            1,
            {}};
  }
};

TwoViews two_views(int parts) {
  synthetic::CameraSpec a, b;
  a.photo_px = b.photo_px = k_photo;
  a.focal_share = b.focal_share = 1.6;
  a.tilt_deg = 12;
  a.tilt_direction_deg = 20;
  b.tilt_deg = 11;
  b.tilt_direction_deg = 140;
  b.shift = {0.05, -0.04};
  TwoViews out{
      view_of(a, k_board_mm, Side::front), view_of(b, k_board_mm, Side::front), {}, {}, {}};
  synthetic::Truth truth;
  truth.view = out.first;
  truth.photo_size_px = k_photo;
  truth.outline_mm = {{{0, 0}, {160, 0}, {160, 110}, {0, 110}}, {}};
  for (const cv::Point2d& p : truth.outline_mm.outer)
    truth.outline_px.outer.push_back(photo_px_of(out.first, p));
  out.rectification = rectification_from(truth);
  out.map.first = out.map.second = plain_lens(k_photo);
  out.map.second_from_first =
      out.second.board_mm_from_photo_px.inv() * out.first.board_mm_from_photo_px;
  out.map.second_from_first *= 1 / out.map.second_from_first(2, 2);
  synthetic::Random random(3);
  for (double y = 4; y < k_board_mm.height; y += 4)
    for (double x = 4; x < k_board_mm.width; x += 4) {
      const bool is_part = random.whole(0, 4) < parts;
      out.pairs.push_back(out.pair({x, y}, is_part ? random.uniform(1, 9) : 0));
      out.pairs.back().second_px += 0.15 * cv::Point2d(random.normal(), random.normal());
    }
  return out;
}

double worst_px(const TwoViews& v, const PlaneMap& map) {
  double worst = 0;
  for (const PlanePair& pair : v.pairs)
    worst = std::max(worst, cv::norm(map(pair.first_px) - v.second_of(pair.first_px)));
  return worst;
}

constexpr PlaneMixture k_mixture{1, 3};

// Mean angle between the shift that is told and that of a place 3 mm high.
double off_deg(const TwoViews& v, const HeightShift& shift) {
  double sum = 0;
  int n = 0;
  for (double x : {30.0, 80.0, 130.0})
    for (double y : {25.0, 55.0, 85.0}) {
      const PlanePair top = v.pair({x, y}, 3);
      const cv::Point2d is = top.second_px - v.map(top.first_px), told = shift(top.first_px);
      sum += std::abs(std::atan2(is.cross(told), is.dot(told))) * 180 / CV_PI;
      ++n;
    }
  return sum / n;
}

}  // namespace

TEST_CASE("the tops of parts tell which lenses the two views were taken with") {
  const TwoViews v = two_views(3);
  REQUIRE(worst_px(v, v.map) < 1e-6);
  const HeightShift assumed(v.rectification, v.map, k_photo),
      likely = likely_height_shift(v.rectification, v.map, k_photo, v.pairs, k_mixture);
  CHECK(off_deg(v, likely) < 10);
  CHECK(off_deg(v, likely) < 0.5 * off_deg(v, assumed));
}

TEST_CASE("a map is fitted to the board although most of what is seen stands above it") {
  TwoViews v = two_views(3);
  const HeightShift shift =
      likely_height_shift(v.rectification, v.map, k_photo, v.pairs, k_mixture);
  for (PlanePair& pair : v.pairs) pair.shift_px = shift(pair.first_px);
  PlaneMap start = v.map;
  start.second_from_first(0, 2) += 0.4;
  start.second_from_first(0, 0) *= 1.001;
  REQUIRE(worst_px(v, start) > 0.5);
  CHECK(worst_px(v, fitted_plane_and_parts(v.pairs, start, k_mixture)) < 0.3);
}

TEST_CASE("matches by chance do not pull a map") {
  TwoViews v = two_views(0);
  synthetic::Random random(9);
  for (size_t i = 0; i < v.pairs.size(); i += 3)
    v.pairs[i].second_px += cv::Point2d(random.uniform(1, 5), random.uniform(1, 5));
  CHECK(worst_px(v, fitted_plane_and_parts(v.pairs, v.map, k_mixture)) < 0.15);
}

TEST_CASE("pairs are likeliest under the map that they come from") {
  const TwoViews v = two_views(0);
  PlaneMap off = v.map;
  off.second_from_first(1, 2) += 0.5;
  CHECK(mixture_likelihood(v.pairs, v.map, k_mixture) >
        mixture_likelihood(v.pairs, off, k_mixture));
}

TEST_CASE("a few pairs leave a map as it is") {
  TwoViews v = two_views(0);
  v.pairs.resize(40);
  CHECK(fitted_plane_and_parts(v.pairs, v.map, k_mixture) == v.map);
}
