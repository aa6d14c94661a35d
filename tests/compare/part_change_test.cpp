#include "compare/part_change.h"

#include <catch2/catch.hpp>

#include "tests/compare/texture.h"

using namespace verdigrid;

namespace {

const cv::Size k_photo(480, 360);  // 8 px a mm
constexpr double k_px_per_mm = 8;
// 11 mm wide; patches of 3 mm in steps of half of that cover it with little to spare.
const cv::Rect k_top(125, 137, 86, 86);

// A body of another colour than the board, with print on it.
cv::Mat printed() { return ~texture(k_top.size(), 5, 50); }

cv::Mat board() { return texture(k_photo, 4, 120); }

cv::Mat board_with(cv::Rect there, cv::Mat out = board()) {
  printed()(cv::Rect({}, there.size())).copyTo(out(there));
  return out;
}

// Both looks of a board that lies still under the same light.
std::vector<PartChange> changes(const cv::Mat& before, const cv::Mat& after) {
  LookChange look;
  look.before = before;
  look.after = after;
  look.in_both = cv::Mat(k_photo, CV_8UC1, cv::Scalar(255));
  cv::Mat off;
  cv::absdiff(before, after, off);
  cv::cvtColor(off, off, cv::COLOR_BGR2GRAY);
  look.went = off > 10;
  look.came = look.went;
  Alignment still;
  still.before_size_px = still.after_size_px = k_photo;
  Rectification r;
  r.outline_is_frame = true;
  r.photo_size_px = k_photo;
  return part_changes(look, still, r, nullptr, {}, k_px_per_mm);
}

}  // namespace

TEST_CASE("without a layout a part that was taken off is told where it was and never as turned") {
  const auto told = changes(board_with(k_top), board());
  REQUIRE(told.size() == 1);
  const cv::Rect2d seen = bounding_box(told[0].region_px.outer), part(k_top);
  CHECK((seen & part).area() > 0.6 * part.area());
  CHECK(told[0].kind != PartChangeKind::turned);
  CHECK(told[0].designator.empty());
}

TEST_CASE("a tall top that the other photo shows some way off is no change of a part") {
  // 11 mm beside: farther than patches are searched, as tall parts are seen from another place.
  const cv::Mat plain(k_photo, CV_8UC3, cv::Scalar(60, 110, 50));
  CHECK(
      changes(board_with(k_top, plain.clone()), board_with(k_top + cv::Point(90, 0), plain.clone()))
          .empty());
}

TEST_CASE("a place half of which looks as before is not told as a change of a part") {
  cv::Mat after = board_with(k_top);
  // Every other stripe of 1 mm is another.
  const cv::Mat other = board();
  for (int x = k_top.x; x < k_top.br().x; x += 16) {
    const cv::Rect stripe(x, k_top.y, 8, k_top.height);
    other(stripe).copyTo(after(stripe));
  }
  CHECK(changes(board_with(k_top), after).empty());
}
