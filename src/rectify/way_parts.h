// What the ways of rectifying share; used inside this folder only. Photo px as decoded.
#pragma once

#include <functional>

#include "rectify/rectify.h"

namespace verdigrid {

// A rectification that knows its photo, turn, side and lens and nothing of the board yet.
Rectification started(cv::Size photo_size_px, const RectifyOptions& options, ScaleWay way);

// The four corners given, as an outline.
Outline drawn_outline(const RectifyOptions& options);

Ring undistorted_ring(const std::optional<Lens>& lens, const Ring& ring_px);

// The lens's camera, or an assumed one for options.focal_px.
cv::Matx33d camera_of(cv::Size photo_size_px, const RectifyOptions& options);

// Takes the outline into the frame, moves the frame's origin to the top-left corner of its bounding
// box. `board_from_photo_px` already carries turn, mirror and unit.
void set_frame(Rectification& r, const cv::Matx33d& board_from_photo_px, const Polygon& outline_px);

// Sets px_per_mm at the outline's centre with its 95 % interval, for a frame in mm.
void set_scale(Rectification& r, double length_rel_sd);

// No outline: the whole photo stands in for it.
Polygon frame_polygon(cv::Size photo_size_px);

// Standard deviation of the natural logarithm of the length scale (board units per px) at p_px,
// when each of `parameters` independent errors has the given standard deviation. `moved(i, step)`
// is the homography with error i set to `step`.
double log_scale_sd(int parameters, double sd, cv::Point2d p_px,
                    const std::function<cv::Matx33d(int, double)>& moved);

// The quadrilateral with side i (from corner i to the next) moved outwards.
Quad with_side_moved(const Quad& corners_px, int i, double outwards_px);

// Frame in board px from the outline's main sides; a plain turn and mirror without them.
cv::Matx33d unscaled_frame(cv::Size photo_size_px, const Polygon& outline_px,
                           const RectifyOptions& options);

// Says when a card in view and the board size disagree.
void add_card_remark(Rectification& r, const CardReading& card, const RectifyOptions& options);

constexpr double k_95 = 1.959964;  // standard normal, two-sided 95 %

}  // namespace verdigrid
