// Outline finding: where the board is in an overhead photo, whatever its colour and the background.
//
// Several guesses of "what is background" are segmented at a reduced scale, each outline is scored
// by what can be seen along its whole length, and the best one is followed to the photo's own
// pixels. What is not sure is refused with a reason: a wrong outline is worse than none. Photo px
// as in photo.h. May be called from any thread. Cost: see tests/bench/outlines.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "photo/photo.h"

namespace verdigrid {

struct OutlineOptions {
  int working_long_side_px = 800;  // outlines are scored at this size, 200..4000
  double least_confidence = 0.55;  // 0..1; below it the outline is refused
  double least_area_share = 0.06;  // of the photo; a smaller thing is not taken for the board
  double rival_area_ratio = 0.35;  // a second board at least this large against the first: refused

  std::vector<Polygon> not_boards_px;  // things in view that are known, such as the scale card

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// The W x H rectangle of a board: its four main sides cut with each other, clockwise from the
// corner seen top left. Corners may lie off the board (chamfers, steps).
using Quad = std::array<cv::Point2d, 4>;

struct Outline {
  Polygon px;               // in photo px, clockwise as seen, no holes
  Quad corners_px;          // of the rectangle around it in perspective
  double confidence = 0;    // 0..1
  double edge_sd_px = 0.5;  // how far its edges may be off, standard deviation
};

enum class OutlineFault { none, no_board, several_boards, unsure };

struct OutlineAnswer {
  std::optional<Outline> outline;  // empty: refused, see fault and reason
  OutlineFault fault = OutlineFault::none;
  std::string reason;                 // a sentence that says what to do; empty with an outline
  std::vector<std::string> remarks;   // sentences for the person
  std::vector<Polygon> other_boards;  // further things in view that look like boards, photo px
};

OutlineAnswer find_outline(const Photo& photo, const OutlineOptions& options = {},
                           const Work& work = {});

}  // namespace verdigrid
