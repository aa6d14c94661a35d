// Pairs of rendered photos of one board before and after the wash, with the truth of what changed.
//
// Any rotation, tilt to 15 degrees, other light, other noise; 0 to 10 parts taken off; of the
// residue all, some or nothing washed away, or none there at all; every fifth pair unchanged. Same
// number, same pair.
#pragma once

#include <cstdint>

#include "compare/comparison.h"
#include "synthetic/shot.h"

namespace verdigrid {

enum class Wash { unchanged, nothing_there, partly, wholly, with_new };
const char* name(Wash w);

struct RenderedChange {
  Wash wash = Wash::unchanged;
  int parts_gone = 0;
  synthetic::BoardSpec before_spec, after_spec;
  synthetic::Shot before, after;
  synthetic::Board before_board, after_board;  // at one scale
};

RenderedChange rendered_change(int number, cv::Size photo_px);

// Where the truth puts the photo after's point against where the alignment does, px of the photo
// after, over a grid of places that both photos show.
struct AlignmentError {
  double rms_px = 0, worst_px = 0;
};
AlignmentError error_of(const Alignment& alignment, const RenderedChange& pair);

// On the board plane, mm2, over the places that a comparison says it compared: its classes (px of
// the photo before) but part_changed and not_compared. Specks that come or go within 1.5 px of the
// photo of the same residue are its broken border, not new residue; what came and went of them
// cancels.
struct TrueChange {
  double residue_before = 0, residue_after = 0, removed = 0, fresh = 0;
  double board_mm2 = 0;  // of the whole board
};
TrueChange true_change(const RenderedChange& pair, const cv::Mat& classes);

// The outline as a good finder gives it: moved, turned and stretched by about half a px.
Polygon slipped_outline(const synthetic::Truth& truth, int seed);

// Surveys with the true labels and sure confidence, exact rectification, slipped outline.
Survey true_survey(const synthetic::Shot& shot, int seed);

// The verdict that the true areas call for, by the same least changes.
ChangeVerdict true_verdict(const TrueChange& change, const VerdictOptions& options);

}  // namespace verdigrid
