#include "compare/lens_fit.h"

#include <catch2/catch.hpp>
#include <random>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

const cv::Size k_photo(4000, 3000);

// A view of a 200 x 150 mm board, with or without a lens that bows it.
Rectification view(double k1) {
  Rectification r;
  r.photo_size_px = k_photo;
  r.board_from_photo_px = cv::Matx33d(18, 0.6, 180, -0.4, 17.5, 220, 2e-4, -1e-4, 1).inv();
  if (k1 != 0)
    r.lens = Lens{cv::Matx33d(4400, 0, 2010, 0, 4400, 1490, 0, 0, 1), {k1, 0, 0, 0, 0}, k_photo, 0};
  return r;
}

std::vector<BoardPair> pairs_of(const Rectification& r, int count, double noise_px, int wrong) {
  std::mt19937 random(8);
  std::uniform_real_distribution<double> x(0, 200), y(0, 150), far(-200, 200);
  std::normal_distribution<double> noise(0, noise_px);
  std::vector<BoardPair> pairs;
  for (int i = 0; i < count; ++i) {
    const cv::Point2d p(x(random), y(random));
    cv::Point2d q = photo_point(r, p) + cv::Point2d(noise(random), noise(random));
    if (i < wrong) q += cv::Point2d(far(random), far(random));
    pairs.push_back({p, q, 1});
  }
  return pairs;
}

double worst_mm(const BoardView& fit, const Rectification& truth) {
  Rectification r;
  r.photo_size_px = k_photo;
  r.board_from_photo_px = fit.board_from_photo_px;
  r.lens = fit.lens;
  double most = 0;
  for (double y = 0; y <= 150; y += 15)
    for (double x = 0; x <= 200; x += 20)
      most =
          std::max(most, cv::norm(board_point(r, photo_point(truth, {x, y})) - cv::Point2d(x, y)));
  return most;
}

}  // namespace

// Projections of our own with OpenCV's lens model: 0.5 px of noise is 0.03 mm at 18 px per mm.
TEST_CASE("a bowing lens is found from places on a flat board, wrong ones among them") {
  const Rectification truth = view(0.08);
  const BoardView fit = board_view(pairs_of(truth, 400, 0.5, 60), k_photo);
  REQUIRE(fit.lens);
  CHECK(worst_mm(fit, truth) < 0.05);
  CHECK_THAT(fit.rms_px, WithinAbs(0.5 * std::sqrt(2.0), 0.2));
}

TEST_CASE("a lens is not made up where there is none, nor from few pairs") {
  const Rectification truth = view(0);
  const BoardView fit = board_view(pairs_of(truth, 400, 0.5, 60), k_photo);
  CHECK_FALSE(fit.lens);
  CHECK(worst_mm(fit, truth) < 0.05);
  CHECK_FALSE(board_view(pairs_of(view(0.08), 30, 0.5, 0), k_photo).lens);
  CHECK(worst_mm(board_view(pairs_of(truth, 4, 0, 0), k_photo), truth) < 1e-3);
}
