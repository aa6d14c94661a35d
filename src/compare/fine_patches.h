// What the fine look of an alignment looks at: both photos at one scale, and small patches of them.
// Used inside this folder.
#pragma once

#include <vector>

#include "compare/alignment.h"
#include "compare/height_shift.h"
#include "compare/patches.h"
#include "compare/refine.h"

namespace verdigrid {

// Both photos made ready for it.
struct Looking {
  WorkingPhoto first, second;  // at about one scale
  PointMap working(const PlaneMap& map) const {
    return [m = map, a = first, b = second](cv::Point2d p) {
      return working_px(b, m(photo_px(a, p)));
    };
  }
};

// `scale`: px of the photo after per px of the photo before.
Looking looking_at(const BoardPhoto& before, const BoardPhoto& after, double scale,
                   int long_side_px);

// So that about so many patches lie on the board.
int spacing_for(const Looking& l, double patches);

// Patches looked for within `search_px` of where the map puts them.
std::vector<PatchMatch> look(const Looking& l, const PlaneMap& map, int search_px,
                             const AlignmentOptions& options, const Work& work);

// Each px of a grey picture against the mean and spread around it: a thin trace counts like the
// edge of a part, and the soft edge of a shadow, which another lamp moves, hardly at all. CV_8UC1.
cv::Mat local_contrast(const cv::Mat& grey);

// What a map is fitted to: the same pictures as local contrast.
struct FitPictures {
  cv::Mat first, second;  // CV_8UC1
  // Of the first, 255: centres of patches that lie on the board, off its edge, whose wall and
  // shadow each photo shows on another side. Empty: all.
  cv::Mat inside;
  int side_px = 0;  // of the patches
};
FitPictures fit_pictures(const Looking& l);

// Their patches within `search_px` of where the map puts them, as pairs of photo px.
std::vector<PlanePair> fit_pairs(const Looking& l, const FitPictures& f, const PlaneMap& map,
                                 int search_px, const AlignmentOptions& options,
                                 const HeightShift& shift, const Work& work);

}  // namespace verdigrid
