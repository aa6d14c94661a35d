#include "desk/layout_way.h"

#include <catch2/catch.hpp>

#include "layout/layout.h"

using namespace verdigrid;

namespace {

Layout layout_of(cv::Size2d mm) {
  return layout_over({{{0, 0}, {mm.width, 0}, {mm.width, mm.height}, {0, mm.height}}, {}}, true);
}

// One px is a millimetre; `seen` is the box of the outline with what stands over the edge.
Rectification seen_as(cv::Size2d seen, ScaleWay way) {
  Rectification r;
  r.way = way;
  r.px_per_mm = Interval{1, 0.99, 1.01};
  r.outline_board = layout_of(seen).outline;
  r.outline_px = r.outline_board;
  return r;
}

}  // namespace

TEST_CASE("a part that stands over the edge does not keep a layout off its board") {
  const Layout layout = layout_of({160, 100});
  const Rectification bulge = seen_as({166, 100}, ScaleWay::board_size_outline);
  CHECK(fits(layout, bulge, cv::Size2d(160, 100)));
  CHECK(fits(layout, bulge, cv::Size2d(161, 99.5)));
  CHECK(fits(layout, seen_as({170, 101}, ScaleWay::scale_card), {}));
}

TEST_CASE("a layout fits no board of another size or unit") {
  const Layout layout = layout_of({160, 100});
  // What was told counts where the photo was straightened by it.
  CHECK_FALSE(
      fits(layout, seen_as({166, 100}, ScaleWay::board_size_corners), cv::Size2d(166, 100)));
  CHECK_FALSE(fits(layout, seen_as({150, 100}, ScaleWay::scale_card), {}));
  CHECK_FALSE(fits(layout, seen_as({160, 120}, ScaleWay::two_points), {}));
  CHECK_FALSE(fits(layout, seen_as({100, 160}, ScaleWay::scale_card), {}));
  Rectification plain = seen_as({160, 100}, ScaleWay::none);
  plain.px_per_mm.reset();
  CHECK_FALSE(fits(layout, plain, {}));
  Layout parts_only = layout;
  parts_only.outline = {};
  CHECK_FALSE(fits(parts_only, seen_as({160, 100}, ScaleWay::scale_card), {}));
}
