// Registration core: whether two photos show the same side of the same board type, and where each
// point of one lies in the other. Placing a layout, joining photos, before and after, and close-ups
// all stand on it.
//
// Coarse by features and a robust homography (MAGSAC++: Barath, Noskova, Ivashechkin, Matas, CVPR
// 2020), fine by patches (compare/patches.h). Parts missing, added or replaced do not break it:
// what counts is the share of the board that agrees. Photos BGR CV_8UC3; px of the photos as
// decoded. Same photos and options, same result. May be called from any thread. Cost:
// tests/bench/pairs.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/interval.h"
#include "base/work.h"
#include "compare/patches.h"
#include "compare/warp.h"

namespace verdigrid {

struct BoardPhoto {
  cv::Mat bgr;
  Polygon board_px;  // outline of the board in it; empty: not known, the whole photo counts
};

enum class Match {
  same,         // same side of the same type: placed
  differs,      // placed, but enough differs that it may be another revision: said
  revision,     // not placed: much is alike, but the places do not fit
  other_side,   // not placed: the other side of the same board
  mirrored,     // not placed: one of the photos is mirrored
  wrong_board,  // not placed: nothing fits
};
const char* name(Match match);  // "same", "differs", "revision", "other side", "mirrored",
                                // "wrong board"

struct RegistrationOptions {
  int working_long_side_px = 1600;  // features and patches are taken at this size, 400..6000
  int feature_count = 6000;         // per photo, 200..50000
  double ratio = 0.85;              // of nearest to second nearest, 0.5..1
  double feature_tolerance_px = 4;  // of the robust homography, working px
  // Share of the patches that agree times the share of the board in which they do; below: not the
  // same board. Real boards of one family reach 0.03, bare against fully fitted boards 0.08.
  double least_strength = 0.05;
  std::uint64_t seed = 1;
  void check() const;  // throws Error{wrong_use} naming the field
};

struct Registration {
  Match match = Match::wrong_board;
  Warp warp;            // second from first; only when is_placed()
  double turn_deg = 0;  // of the board from first to second photo, clockwise as seen, -180..180
  double scale = 1;     // second px per first px at the board's centre
  size_t feature_inliers = 0;
  Agreement agreement;               // px of the working size
  Interval rms_px;                   // residual of the agreeing patches in px of the second photo
  double worst_px = 0;               // of the patches' local means (one in 6 x 6 blocks each)
  std::vector<PointPair> pairs;      // agreeing patches, full-size px
  std::vector<std::string> remarks;  // sentences for the person

  bool is_placed() const { return match == Match::same || match == Match::differs; }
};

Registration registered(const BoardPhoto& first, const BoardPhoto& second,
                        const RegistrationOptions& options = {}, const Work& work = {});

// The way out when registered() cannot tell: three or more pairs set by hand (three: affine, four:
// exact, more: least squares), refined by patches where these agree. Placed in any case; the
// remarks say how well it fits. Throws bad_input for fewer than three pairs or pairs on one line.
Registration registered_by_hand(const BoardPhoto& first, const BoardPhoto& second,
                                const std::vector<PointPair>& pairs,
                                const RegistrationOptions& options = {}, const Work& work = {});

}  // namespace verdigrid
