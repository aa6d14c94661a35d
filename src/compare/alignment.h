// Before and after: where each place of the board in the photo before lies in the photo after, to a
// part of a pixel.
//
// The registration core says whether the two photos show one side of one board; then patches at a
// finer size fit the homography and both lenses to what lies on the board's plane. Parts stand
// above it and are seen shifted when the camera stood elsewhere: their patches are kept apart as
// `tall` and pull nothing. px of the two photos as decoded; "board" is the frame of the photo
// before's rectification. May be called from any thread. Cost: that of registered() and about as
// much again.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "compare/plane_map.h"
#include "compare/registration.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct AlignmentOptions {
  RegistrationOptions registration;
  int fine_long_side_px = 2400;    // the fine look is taken at this size at most, 400..6000
  int patch_px = 17;               // side of the patches that check it, working px, odd, 9..99
  int patches = 5000;              // about so many over the board, 200..100000
  double plane_px = 1;             // working px: patches farther off are no part of the plane
  double least_score = 0.5;        // correlation of a patch that counts, 0..1
  std::vector<PointPair> by_hand;  // three or more: the way out when the photos do not tell
  void check() const;              // throws Error{wrong_use} naming the field
};

// A patch that fits well, but not where the plane puts it: something that stands above the board.
struct TallPatch {
  cv::Point2d before_px;
  cv::Point2d offset_px;  // px of the photo after
  bool operator==(const TallPatch&) const = default;
};

struct Alignment {
  cv::Size before_size_px, after_size_px;
  PlaneMap after_from_before;
  bool is_by_hand = false;
  Match match = Match::same;
  double turn_deg = 0, scale = 1;  // as in Registration
  double agreeing_share = 0;       // of the textured patches: on the plane and alike
  Interval rms_after_px;           // residual of the plane's patches, px of the photo after
  Interval rms_board;              // the same on the board, mm or board px
  double worst_board = 0;          // largest mean residual of a block of the board
  double patch_px = 0;             // side of a patch in px of the photo before
  std::vector<TallPatch> tall;
  std::vector<std::string> remarks;  // sentences for the person
  bool operator==(const Alignment&) const = default;
};

// `before_rectification` is of `before`. Throws Error{no_result} when the photos do not show the
// same side, saying what was seen and how pairs by hand are set; Error{bad_input} for photos or
// pairs that cannot be used.
Alignment alignment_of(const BoardPhoto& before, const Rectification& before_rectification,
                       const BoardPhoto& after, const AlignmentOptions& options = {},
                       const Work& work = {});

// CV_8UC1 of `size` (the photo before at `scale`), 255 round patches of tall things: where one
// photo may show a wall that the other does not, or board that a part hides in the other.
cv::Mat tall_places(const Alignment& alignment, cv::Size size, double scale);

}  // namespace verdigrid
