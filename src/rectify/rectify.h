// Straighten and scale: the ways to a rectification, best first (ScaleWay).
//
// rectify() picks the way from what is given; the functions below it are the single ways. Lengths
// in mm, photo px of the photo as decoded (before the turn). Throws Error{wrong_use} for options
// that do not fit together, Error{bad_input} for values that cannot be, Error{no_result} when the
// outline or the card is not found although a size in mm hangs on it. May be called from any
// thread.
#pragma once

#include <optional>
#include <vector>

#include "rectify/card_reader.h"
#include "rectify/outline.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct RectifyOptions {
  Side side = Side::front;
  int turn_deg = 0;  // 0, 90, 180, 270: clockwise turn of the photo before anything else
  std::optional<cv::Size2d> board_mm;   // width x height as the front reads after the turn
  double board_mm_sd = 0.25;            // of each of the two, standard deviation (a mm ruler)
  std::vector<cv::Point2d> corners_px;  // none, or four clockwise from the corner seen top left
  double corner_sd_px = 1.0;            // how well corners and points were placed
  std::optional<CardUse> card;          // set: a scale card is in view
  std::vector<cv::Point2d> points_px;   // none, or two whose distance is known
  std::optional<double> distance_mm;    // between them
  double distance_sd_mm = 0.25;
  std::optional<Lens> lens;
  std::optional<double> focal_px;  // of the camera; empty: the lens's, else assumed_focal_px
  OutlineOptions outline;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

Rectification rectify(const Photo& photo, const RectifyOptions& options, const Work& work = {});

// Board size with an outline, found or drawn.
Rectification rectified_by_outline(cv::Size photo_size_px, const Outline& outline,
                                   const RectifyOptions& options);

// Board size with options.corners_px.
Rectification rectified_by_corners(cv::Size photo_size_px, const RectifyOptions& options);

// Scale card in the board's plane or options.card->height_mm from it. Without an outline the photo
// frame stands in.
Rectification rectified_by_card(cv::Size photo_size_px, const CardReading& card,
                                const std::optional<Outline>& outline,
                                const RectifyOptions& options);

// Two points and the distance between them.
Rectification rectified_by_points(cv::Size photo_size_px, const std::optional<Outline>& outline,
                                  const RectifyOptions& options);

// No scale: board px.
Rectification rectified_without_scale(cv::Size photo_size_px, const std::optional<Outline>& outline,
                                      const RectifyOptions& options);

}  // namespace verdigrid
