// Parts that were taken off, fitted, replaced or turned between two aligned photos: kept apart from
// residue, since what lies there was not washed but carried away or uncovered.
//
// A part stands above the board and is seen shifted: it is searched for around its place. With a
// layout each body is judged by itself; without one, patches that are found nowhere near and look
// different are joined to regions, which most parts escape: a region is told only where nearly all
// of it changed and neither photo shows it some way off. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "compare/look_change.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Layout;

enum class PartChangeKind { missing, fitted, replaced, turned };
const char* name(PartChangeKind k);  // "missing", "fitted", "replaced", "turned"

struct PartChange {
  std::string designator;  // of the layout; empty without one
  PartChangeKind kind = PartChangeKind::replaced;
  Polygon region_px;  // px of the photo before
  cv::Point2d centre_px;
  double area = 0;  // of the region, board units squared
  bool operator==(const PartChange&) const = default;
};

struct PartChangeOptions {
  double patch_mm = 3;           // without a layout; above 0
  double search_mm = 2;          // how far a part may be seen shifted, 0..20
  double least_part_mm = 2;      // shorter side of the bodies that are judged, above 0
  double unlike_score = 0.3;     // correlation below which nothing of the part is there, 0..1
  double turned_score = 0.55;    // correlation of the turned part that says it was turned, 0..1
  double differing_share = 0.4;  // of the place that must look different, 0..1
  double residue_share = 0.35;   // more of it labelled: residue changed its look, not a part, 0..1
  void check() const;            // throws Error{wrong_use} naming the field
};

// `rectification` of the photo before, `layout` in its frame or null. `residue` CV_8UC1 of
// any size that shows the whole photo before, non-zero where either photo's labels lie. `px_per_mm`
// of the photo before; 0 without scale.
std::vector<PartChange> part_changes(const LookChange& look, const Alignment& alignment,
                                     const Rectification& rectification, const Layout* layout,
                                     const cv::Mat& residue, double px_per_mm,
                                     const PartChangeOptions& options = {}, const Work& work = {});

// CV_8UC1 0 or 255 of the given size.
cv::Mat picture_of(const std::vector<PartChange>& changes, cv::Size size);

}  // namespace verdigrid
