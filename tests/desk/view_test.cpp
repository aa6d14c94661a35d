#include "desk/view.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {
const cv::Rect2d k_canvas{100, 50, 800, 600};
constexpr double k_rounding = 1e-9;
}  // namespace

TEST_CASE("screen and photo points are each other's inverse at every turn and scale") {
  for (int turn = 0; turn < 4; ++turn)
    for (const double scale : {0.1, 1.0, 7.3}) {
      const View v{{1234.5, 678.25}, scale, turn};
      const cv::Point2d p{1300, 700},
          back = photo_from_screen(v, k_canvas, screen_from_photo(v, k_canvas, p));
      CHECK_THAT(back.x, WithinAbs(p.x, k_rounding));
      CHECK_THAT(back.y, WithinAbs(p.y, k_rounding));
    }
}

TEST_CASE("a quarter turn shows the photo's top on the right") {
  const View v{{500, 500}, 1, 1};
  const cv::Point2d top = screen_from_photo(v, k_canvas, {500, 400}),
                    middle = screen_from_photo(v, k_canvas, {500, 500});
  CHECK(top.x == middle.x + 100);
  CHECK(top.y == middle.y);
}

TEST_CASE("zooming keeps the point under the cursor and stops at the limits") {
  View v{{400, 300}, 1, 3};
  const cv::Point2d cursor{333, 444}, before = photo_from_screen(v, k_canvas, cursor);
  v = zoomed(v, k_canvas, cursor, 1.7);
  CHECK(v.scale == 1.7);
  const cv::Point2d after = photo_from_screen(v, k_canvas, cursor);
  CHECK_THAT(after.x, WithinAbs(before.x, k_rounding));
  CHECK_THAT(after.y, WithinAbs(before.y, k_rounding));
  CHECK(zoomed(v, k_canvas, cursor, 1e9).scale == k_largest_scale);
  CHECK(zoomed(v, k_canvas, cursor, 1e-9).scale == k_smallest_scale);
}

TEST_CASE("a fitted view shows every corner of the photo") {
  const cv::Size photo{4000, 1000};
  for (int turn = 0; turn < 4; ++turn) {
    const View v = fitted(k_canvas, photo, turn);
    for (const cv::Point2d corner : {cv::Point2d(-0.5, -0.5), cv::Point2d(3999.5, 999.5)})
      CHECK(k_canvas.contains(screen_from_photo(v, k_canvas, corner)));
    CHECK(visible_px(v, k_canvas).width >= photo.width);
  }
  CHECK_THROWS(fitted_to(k_canvas, {0, 0, 0, 10}, 0));
}

TEST_CASE("dragging moves the photo with the cursor and its centre stays on the photo") {
  const View v{{100, 100}, 2, 1};
  const cv::Point2d p{120, 90}, at = screen_from_photo(v, k_canvas, p),
                                after = screen_from_photo(moved(v, {30, -20}), k_canvas, p);
  CHECK_THAT(after.x - at.x, WithinAbs(30, k_rounding));
  CHECK_THAT(after.y - at.y, WithinAbs(-20, k_rounding));
  CHECK(kept_in_sight({{-50, 2000}, 1, 0}, {300, 200}).centre_px == cv::Point2d(0, 199));
}

TEST_CASE("the scale bar has a round length that fits") {
  CHECK_THAT(scale_bar_length(0.05, 1, 120), WithinAbs(5, k_rounding));     // 120 px are 6 mm
  CHECK_THAT(scale_bar_length(0.05, 0.1, 120), WithinAbs(50, k_rounding));  // 60 mm
  CHECK_THAT(scale_bar_length(0.05, 4, 120), WithinAbs(1, k_rounding));     // 1.5 mm
  CHECK_THROWS(scale_bar_length(0, 1, 100));
}
