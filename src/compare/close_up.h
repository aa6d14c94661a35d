// Where a close-up lies on the photo of its side: a picture by a macro lens or a microscope, of
// unknown scale and turn, is found on that photo, outlined, and gets the board frame of it.
//
// Features of both vote for a view, patches (compare/patches.h) check it; a place is given only
// where nothing else on the photo fits nearly as well, so that one of several like parts is refused
// rather than guessed. It is the place by what lies on the board: the tops of tall parts are seen
// shifted against that, in each picture in its own way. Photos BGR CV_8UC3, px as decoded; "photo"
// is that of the side, "close-up" the finer picture. Same input, same place. May be called from any
// thread. Cost and figures: tests/bench/close_ups.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/interval.h"
#include "base/work.h"
#include "compare/warp.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct CloseUpOptions {
  double least_scale = 0.8, largest_scale = 14;  // px of the close-up per px of the photo
  int working_long_side_px = 1600;               // of the close-up, 400..6000
  int features_per_tile = 4000;                  // of the photo, 200..50000
  double ratio = 0.92;                           // of nearest to second nearest feature, 0.5..1
  double least_strength = 0.38;  // correlation times the share of cells that agree, above 0..1
  double least_lead = 1.4;       // times the strength of the next best place, 1 or more
  void check() const;            // throws Error{wrong_use} naming the field
};

struct CloseUpPlace {
  cv::Size close_up_size_px, photo_size_px;
  cv::Matx33d photo_from_close_up = cv::Matx33d::eye();
  Ring outline_px;   // the close-up's frame on the photo, clockwise as seen
  double scale = 1;  // px of the close-up per px of the photo, at its middle
  // Of the board there, which the top of a part may hide; empty: by hand, or from an older file.
  std::optional<Interval> scale_range;
  double turn_deg = 0;  // of the board from photo to close-up, clockwise as seen, -180..180
  bool is_by_hand = false;
  double agreeing_share = 0;  // of the textured patches
  Interval rms_px;            // residual of those, px of the photo; 0 where too few agree to tell
  bool operator==(const CloseUpPlace&) const = default;
};

struct CloseUpAnswer {
  std::optional<CloseUpPlace> place;  // empty: not sure enough
  double strength = 0, next_strength = 0,
         off_share = 0;              // of the best place and of the best other one
  std::vector<std::string> remarks;  // sentences for the person
};

// Throws Error{bad_input} for photos smaller than 64 x 64 px.
CloseUpAnswer placed_close_up(const cv::Mat& photo_bgr, const cv::Mat& close_up_bgr,
                              const CloseUpOptions& options = {}, const Work& work = {});

// The way out: three or more pairs set by hand (first_px in the photo, second_px in the close-up),
// fitted to what both show where they agree. Throws Error{bad_input} for fewer than three pairs or
// pairs on one line.
CloseUpAnswer close_up_placed_by_hand(const cv::Mat& photo_bgr, const cv::Mat& close_up_bgr,
                                      const std::vector<PointPair>& pairs,
                                      const CloseUpOptions& options = {}, const Work& work = {});

// The close-up straightened by the photo's rectification: the same board frame and the same doubt
// of the scale, for a survey at the close-up's finer scale. Its outline is what it shows of the
// board.
Rectification close_up_rectification(const CloseUpPlace& place, const Rectification& photo);

}  // namespace verdigrid
