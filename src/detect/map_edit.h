// What a person changed on the residue map by hand, on top of the answers of the guided look: each
// change is exact and teaches nothing, so that only what was touched moves.
//
// An ordered list: dropping the last undoes it, replaying them on the same photo gives the same
// map. All points are photo px. May be called from any thread.
#pragma once

#include <string>
#include <vector>

#include "base/geometry.h"
#include "detect/grouping.h"
#include "detect/guided_look.h"
#include "detect/residue.h"

namespace verdigrid {

enum class EditKind {
  accept,   // what is flagged in the region is residue, its class as it stands
  dismiss,  // nothing in the region is residue
  relabel,  // what is flagged in the region is of this class
  draw,     // the whole region is residue of this class
  erase,    // the region is no residue: one stroke of the eraser
  split,    // the finding under the line is two, one on each side of it
  merge,    // the two findings under the points are one
};
inline constexpr EditKind k_edit_kinds[] = {EditKind::accept, EditKind::dismiss, EditKind::relabel,
                                            EditKind::draw,   EditKind::erase,   EditKind::split,
                                            EditKind::merge};
const char* name(EditKind kind);  // "accept", "dismiss", ...

struct MapEdit {
  EditKind kind = EditKind::accept;
  std::vector<Polygon> region_px;  // all but split and merge
  Ring line_px;                    // split: its two ends; merge: a pixel of each finding
  std::optional<Residue> residue;  // relabel and draw
  int after_answers = 0;           // how many answers had been given: the order of the whole review
  bool operator==(const MapEdit&) const = default;
};

// Throws Error{bad_input} with a sentence when parts of it are missing or too many.
void check(const MapEdit& edit);

// `look` with the edits applied. An answer that was given after an edit takes its own region back
// to what the look says there. Nothing is drawn outside `board_px` (empty: no limit).
ResidueMap edited_map(const ResidueMap& look, const std::vector<Answer>& answers,
                      const std::vector<MapEdit>& edits, const Polygon& board_px = {});

// Splits and merges, in order.
Grouping grouping_of(const std::vector<MapEdit>& edits);

// Places that no edit has decided: those are not asked about.
std::vector<LookPlace> undecided(std::vector<LookPlace> places, const std::vector<MapEdit>& edits);

// What a brush of this radius covers along a stroke (at least one point), cut to the photo.
std::vector<Polygon> brushed_region(const std::vector<cv::Point2d>& stroke_px, double radius_px,
                                    cv::Size photo_px);

}  // namespace verdigrid
