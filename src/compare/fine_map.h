// The fine look of an alignment: small patches, and the outlines where these are known, fitted to
// the board's plane; used inside this folder.
#pragma once

#include <vector>

#include "compare/alignment.h"
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

// Patches looked for within `search_px` of where the map puts them.
std::vector<PatchMatch> look(const Looking& l, const PlaneMap& map, int search_px,
                             const AlignmentOptions& options, const Work& work);

// The map near `start` that the patches on the board's plane agree on; every region of the photo
// before counts alike. Where the tops of parts outnumber what shows of the board they can pass for
// its plane; the outlines lie on the board itself, so where these do not agree with the patches
// several fits are made and the one that most of both lies on is taken. `rectification` of the
// photo before.
PlaneMap fine_map(const Looking& l, const BoardPhoto& before, const BoardPhoto& after,
                  const Rectification& rectification, const PlaneMap& start,
                  const AlignmentOptions& options, const Work& work);

}  // namespace verdigrid
