#include "compare/fine_patches.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "tests/compare/texture.h"

using namespace verdigrid;

namespace {

const cv::Size k_size{480, 360};

// The photo's own px as board units.
Rectification plain(cv::Size size) {
  Rectification r;
  r.photo_size_px = size;
  const double w = size.width, h = size.height;
  r.outline_px.outer = r.outline_board.outer = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  return r;
}

PlaneMap same_place(cv::Size size) {
  PlaneMap map;
  map.first = map.second = plain_lens(size);
  return map;
}

// Fine traces, a few levels lighter than their board, in both directions.
cv::Mat traces() {
  cv::Mat bgr(k_size, CV_8UC3, cv::Scalar(90, 130, 80));
  for (int x = 12; x < k_size.width; x += 17)
    cv::line(bgr, {x, 5}, {x + 30, k_size.height - 5}, cv::Scalar(105, 148, 96), 2, cv::LINE_AA);
  for (int y = 9; y < k_size.height; y += 23)
    cv::line(bgr, {5, y}, {k_size.width - 5, y + 20}, cv::Scalar(105, 148, 96), 2, cv::LINE_AA);
  return bgr;
}

// A soft shadow of a part that is seen at `at` when the lamp stands there.
cv::Mat shaded(const cv::Mat& bgr, cv::Point at) {
  cv::Mat light(bgr.size(), CV_32FC1, cv::Scalar(1));
  cv::rectangle(light, cv::Rect(at, cv::Size(120, 90)), cv::Scalar(0.45), cv::FILLED);
  cv::GaussianBlur(light, light, {}, 4);
  cv::Mat out;
  cv::merge(std::vector<cv::Mat>(3, light), light);
  bgr.convertTo(out, CV_32FC3);
  out = out.mul(light);
  out.convertTo(out, CV_8UC3);
  return out;
}

std::vector<PlanePair> pairs_between(const cv::Mat& before, const cv::Mat& after,
                                     const Polygon& board) {
  const BoardPhoto a{before, board}, b{after, board};
  const Looking l = looking_at(a, b, 1, 2400);
  const PlaneMap map = same_place(before.size());
  const Rectification r = plain(before.size());
  return fit_pairs(l, fit_pictures(l), map, 5, {}, HeightShift(r, map, after.size()), {});
}

}  // namespace

TEST_CASE("the edge of a shadow that another lamp moves pulls no patch") {
  const cv::Point here(180, 130), there(184, 133);
  const auto pairs = pairs_between(shaded(traces(), here), shaded(traces(), there), {});
  REQUIRE(pairs.size() > 500);
  double off = 0, weight = 0;
  int n = 0;
  for (const PlanePair& p : pairs) {
    // Within 8 px of the shadow's edge.
    const cv::Rect near(here - cv::Point(8, 8), cv::Size(140, 109)),
        deep(here + cv::Point(12, 11), cv::Size(100, 71));
    if (!near.contains(p.first_px) || deep.contains(p.first_px)) continue;
    off += p.weight * cv::norm(p.second_px - p.first_px);
    weight += p.weight;
    ++n;
  }
  REQUIRE(n > 60);
  CHECK(off / weight < 0.5);  // of the 5 px that the shadow moves
}

TEST_CASE("patches of a fit lie on the board with a margin") {
  const cv::Mat picture = texture(k_size, 5);
  const Polygon board{{{100, 60}, {380, 60}, {380, 300}, {100, 300}}, {}};
  const auto pairs = pairs_between(picture, picture, board);
  REQUIRE(pairs.size() > 100);
  for (const PlanePair& p : pairs) {
    CHECK(p.first_px.x >= 106);
    CHECK(p.first_px.x <= 374);
    CHECK(p.first_px.y >= 66);
    CHECK(p.first_px.y <= 294);
  }
}

TEST_CASE("patches of a fit are small on a small picture and grow with it to a limit") {
  const auto side = [](cv::Size size) {
    const BoardPhoto photo{texture(size, 3), {}};
    return fit_pictures(looking_at(photo, photo, 1, 2400)).side_px;
  };
  CHECK(side({480, 360}) == 9);
  const int middle = side({1100, 830});
  CHECK(middle % 2 == 1);
  CHECK(middle > 9);
  CHECK(middle < 17);
  CHECK(side({2200, 1700}) == 17);
}
