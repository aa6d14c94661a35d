// View maths of the canvas: where a photo pixel lies on the screen, zoom about the cursor, fit,
// quarter turns. No GL, no ImGui.
//
// Screen points are window px with y down; photo points as everywhere ((0,0) is the centre of the
// first pixel). May be called from any thread.
#pragma once

#include <opencv2/core.hpp>

namespace verdigrid {

struct View {
  cv::Point2d centre_px{0, 0};  // photo point in the middle of the canvas
  double scale = 1;             // screen px per photo px
  int quarter_turns = 0;        // 0..3, clockwise as seen
};

inline constexpr double k_smallest_scale = 1.0 / 256;
inline constexpr double k_largest_scale = 64;

// `canvas` is the canvas rectangle in screen px.
cv::Point2d screen_from_photo(const View& view, const cv::Rect2d& canvas, cv::Point2d p_px);
cv::Point2d photo_from_screen(const View& view, const cv::Rect2d& canvas, cv::Point2d p_screen);

// Whole photo in sight with a small margin; small photos are enlarged.
View fitted(const cv::Rect2d& canvas, cv::Size photo_px, int quarter_turns);

// A region of the photo in sight, with `margin` times its size round it.
View fitted_to(const cv::Rect2d& canvas, const cv::Rect2d& region_px, int quarter_turns,
               double margin = 0.25);

// The photo point under `about_screen` stays where it is. Scale is kept between the two limits.
View zoomed(const View& view, const cv::Rect2d& canvas, cv::Point2d about_screen, double factor);

View moved(const View& view, cv::Point2d by_screen);  // drag: the photo follows
View turned(const View& view, int quarters);          // about the canvas centre
View kept_in_sight(View view, cv::Size photo_px);     // the centre never leaves the photo

// Axis-parallel photo rectangle that covers the canvas (not cut to the photo).
cv::Rect2d visible_px(const View& view, const cv::Rect2d& canvas);

// A round length (1, 2 or 5 times a power of ten) whose bar is at most `longest_screen` wide;
// `unit_per_px` units per photo px.
double scale_bar_length(double unit_per_px, double scale, double longest_screen);

}  // namespace verdigrid
