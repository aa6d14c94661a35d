// What became of each pixel's residue: removed, remaining, new or uncertain, with parts that
// changed and places that only one photo shows kept apart.
//
// px of the photo before. Labels are compared where the plane puts them and, on tall parts, where
// their patch was really found; borders that lie within `border_px` of each other are one border.
// What one photo's labels have and the other's have not counts as changed only when the residue map
// was sure in both, or when the photos themselves look different there; else it is uncertain. A
// place that either photo cannot show (glare, blur) is uncertain too. May be called from any
// thread.
#pragma once

#include <opencv2/core.hpp>

#include "base/work.h"
#include "compare/alignment.h"
#include "compare/look_change.h"
#include "detect/residue.h"
#include "photo/check.h"

namespace verdigrid {

// The values are the ids in change.png.
enum class ChangeClass : std::uint8_t {
  none = 0,
  removed,
  remaining,
  fresh,           // new
  uncertain_gone,  // in the labels before only; not told whether it went
  uncertain_new,   // in the labels after only; not told whether it came
  part_changed,    // residue or bare board where a part was taken off, replaced or turned
  not_compared,    // outside the photo after
};
inline constexpr int k_change_class_count = 8;
const char* name(ChangeClass c);  // "none", "removed", "remaining", "new", "uncertain-gone",
                                  // "uncertain-new", "part-changed", "not-compared"

struct ChangeMapOptions {
  double border_px = 1.5;       // how far borders of one patch may lie apart, besides the alignment
  long least_px = 6;            // smaller patches of change are no more than two borders' noise
  double sure_drop = 0.8;       // change of confidence that counts as it stands, 0..1
  double evidence_mm = 1;       // looks are judged over about so much of the board, above 0
  double evidence_share = 0.3;  // of it that must look different, 0..1
  void check() const;           // throws Error{wrong_use} naming the field
};

// One photo's part.
struct Looked {
  ResidueMap map;
  const PhotoCheck* check = nullptr;  // what it cannot show; may be null
};

struct ChangeMap {
  cv::Mat classes;  // CV_8UC1, ChangeClass
  // Labels that are compared, in px of the photo before: those before, and those after as the plane
  // puts them there; 0 where nothing is compared.
  cv::Mat labels_before, labels_after;
};

// `changed_parts` CV_8UC1, size of the photo before, non-zero where a part changed; may be empty.
// `px_per_mm` of the photo before; 0 without scale (then 1 / 150 of its longer side stands for mm).
ChangeMap change_map(const Looked& before, const Looked& after, const Alignment& alignment,
                     const LookChange& look, const cv::Mat& changed_parts, double px_per_mm,
                     const ChangeMapOptions& options = {}, const Work& work = {});

}  // namespace verdigrid
