#include "compare/join.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/error.h"
#include "compare/alignment.h"
#include "compare/join_parts.h"
#include "compare/straight.h"
#include "tests/compare/rendered_parts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

// The renderer's lens in the terms of a plane map.
std::array<double, 2> synthetic_lens(const synthetic::View& view, cv::Size size) {
  const double longer = std::max(size.width, size.height) / view.lens.camera(0, 0);
  return {view.lens.distortion[0] * std::pow(longer, 2),
          view.lens.distortion[1] * std::pow(longer, 4)};
}

}  // namespace

TEST_CASE("four photos of a board become one, with seams that fit and areas that hold", "[slow]") {
  const RenderedParts parts = rendered_parts(0, {640, 480});
  const Joined all = joined(parts.photos);
  REQUIRE(all.photos.size() == 4);
  const SeamError e = seam_error(all, parts);
  CHECK(e.places > 100);
  CHECK(e.rms_px <= 0.5);
  const auto ratio = area_ratio(all, parts);
  REQUIRE(ratio);
  CHECK_THAT(*ratio, WithinAbs(1, 0.02));
  // Larger than any of its photos, every photo has its part, and all of the board is there.
  CHECK(all.bgr.cols > 700);
  for (const JoinedPhoto& p : all.photos) CHECK(p.share > 0.05);
}

TEST_CASE("photos that are joined may come in any order", "[slow]") {
  // The second one named shares no more than a corner with the first.
  RenderedParts parts = rendered_parts(0, {640, 480});
  for (const size_t at : {size_t{1}, size_t{2}}) {
    std::swap(parts.photos[at], parts.photos[3]);
    std::swap(parts.shots[at], parts.shots[3]);
  }
  const Joined all = joined(parts.photos);
  const SeamError e = seam_error(all, parts);
  CHECK(e.places > 100);
  CHECK(e.rms_px <= 0.5);
  for (size_t i = 0; i < all.photos.size(); ++i)
    CHECK(all.photos[i].name == parts.photos[i].meta.name);
}

TEST_CASE("what two photos show of one place tells whether they were placed rightly") {
  const RenderedParts parts = rendered_parts(0, {480, 360});
  const std::vector<Photo> two{parts.photos[0], parts.photos[1]};
  // Placed by the truth, in the first photo's px.
  const synthetic::View &first = parts.shots[0].truth.view, &second = parts.shots[1].truth.view;
  std::vector<JoinedPhoto> placed(2);
  for (size_t i = 0; i < 2; ++i) {
    PlaneMap& map = placed[i].photo_from_joined;
    map.first = map.second = plain_lens(two[i].bgr.size());
    map.second.k = synthetic_lens(i == 0 ? first : second, two[i].bgr.size());
    map.second_from_first =
        i == 0 ? cv::Matx33d::eye()
               : second.board_mm_from_photo_px.inv() * first.board_mm_from_photo_px;
  }
  const cv::Size size(900, 700);
  const auto right = join_looks(two, placed, size, {});
  REQUIRE(right.size() == 1);
  CHECK(right[0].patches > 100);
  CHECK(right[0].fitting_share > 0.4);
  placed[1].photo_from_joined.second_from_first =
      cv::Matx33d(1, 0, 4, 0, 1, 3, 0, 0, 1) * placed[1].photo_from_joined.second_from_first;
  const auto wrong = join_looks(two, placed, size, {});
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].fitting_share < 0.15);
}

TEST_CASE("photos whose outlines are not known are aligned by what they show of the board",
          "[slow]") {
  const RenderedParts parts = rendered_parts(0, {480, 360});
  const synthetic::Truth &a = parts.shots[0].truth, &b = parts.shots[1].truth;
  const Alignment found =
      alignment_of({parts.photos[0].bgr, {}}, rectification_from(a), {parts.photos[1].bgr, {}});
  double squares = 0;
  int n = 0;
  const cv::Rect2d frame(0, 0, 479, 359);
  const cv::Rect2d board = bounding_box(a.outline_mm.outer);
  for (double y = board.y + 1; y < board.br().y; y += 4)
    for (double x = board.x + 1; x < board.br().x; x += 4) {
      const cv::Point2d p = photo_px_of(a.view, {x, y}), q = photo_px_of(b.view, {x, y});
      if (!frame.contains(p) || !frame.contains(q)) continue;
      const cv::Point2d off = found.after_from_before(p) - q;
      squares += off.dot(off);
      ++n;
    }
  REQUIRE(n > 50);
  CHECK(std::sqrt(squares / n) < 0.5);
}

TEST_CASE("one photo, and photos that have nothing in common, are not joined") {
  const RenderedParts parts = rendered_parts(0, {320, 240});
  CHECK_THROWS_WITH(joined({parts.photos[0]}), Contains("two photos"));
  Photo noise = parts.photos[1];
  noise.bgr = cv::Mat(240, 320, CV_8UC3);
  cv::RNG random(5);
  random.fill(noise.bgr, cv::RNG::UNIFORM, 0, 255);
  noise.meta.name = "noise.jpg";
  CHECK_THROWS_WITH(joined({parts.photos[0], noise}), Contains("noise.jpg"));
  JoinOptions options;
  options.feather_px = -1;
  CHECK_THROWS_WITH(options.check(), Contains("feather_px"));
}

TEST_CASE("a straight picture has the board's frame at one scale, front and back") {
  for (const Side side : {Side::front, Side::back}) {
    synthetic::BoardOptions board;
    board.size_mm = cv::Size2d(80, 60);
    board.side = side;
    const synthetic::Shot s =
        synthetic::shot(synthetic::random_board(3, board), synthetic::random_camera(3, {320, 240}));
    const Straight straight = straightened(photo_of(s), rectification_from(s.truth));
    const Rectification& r = straight.rectification;
    REQUIRE(r.photo_size_px == straight.bgr.size());
    const double px = 1 / std::sqrt(pixel_area_board(r, {10, 10}));
    CHECK_THAT(1 / std::sqrt(pixel_area_board(r, {200, 150})), WithinAbs(px, 1e-9));
    // The outline is the board's, and its middle lies in the middle.
    CHECK_THAT(bounding_box(r.outline_board.outer).width, WithinAbs(80, 1e-6));
    const cv::Point2d middle = photo_point(r, {40, 30});
    CHECK_THAT(middle.x, WithinAbs((straight.bgr.cols - 1) / 2.0, 1));
    // A board px shows what the photo shows there.
    const cv::Point2d p = photo_point(r, {20, 20}),
                      q = photo_point(rectification_from(s.truth), {20, 20});
    const auto mean = [](const cv::Mat& bgr, cv::Point2d at) {
      return cv::mean(bgr(cv::Rect(cvRound(at.x) - 4, cvRound(at.y) - 4, 9, 9)));
    };
    CHECK(cv::norm(mean(straight.bgr, p) - mean(s.bgr, q)) < 25);
  }
}
