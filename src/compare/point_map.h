// Where each point of one picture lies in another, as a function; and pictures seen through it.
//
// px of the two pictures. The function is called on a coarse lattice and read back by linear steps
// between its nodes: for views of a flat board by a camera's lens that is off by less than 0.01 px.
// May be called from any thread when the function may.
#pragma once

#include <functional>
#include <opencv2/core.hpp>

namespace verdigrid {

using PointMap = std::function<cv::Point2d(cv::Point2d)>;

inline constexpr float k_off_map = -1e4F;  // coordinates of what the map takes nowhere sane

// CV_32FC2 of the window's size: the map of every pixel of `window`.
cv::Mat dense_map(cv::Rect window, const PointMap& map);

// Where a window lies in the other picture: the box of what its border maps to, and a little more.
// Empty where the map takes it nowhere sane.
cv::Rect window_through(cv::Rect window, const PointMap& map);

// The window of each tile of a picture, side by side, on OpenCV's threads: for work that most of a
// picture does not need.
void for_tiles(cv::Size size, int side_px, const std::function<void(cv::Rect)>& work);

// A picture of `size`: at each px what `picture` shows at map(px). `outside` where that is not in
// `picture`. `interpolation`: cv::INTER_NEAREST for labels and ids. Strip by strip: no map of the
// whole picture is held.
cv::Mat seen_through(const cv::Mat& picture, cv::Size size, const PointMap& map, int interpolation,
                     const cv::Scalar& outside);

// CV_8UC1 of `size`, 255 where a picture of `picture_px` shows something at map(px), else 0.
cv::Mat shown_through(cv::Size picture_px, cv::Size size, const PointMap& map);

// The same of a window whose dense map is at hand.
cv::Mat shown_at(cv::Size picture_px, const cv::Mat& places);

}  // namespace verdigrid
