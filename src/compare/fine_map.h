// The fine look of an alignment: small patches, and the outlines where these are known, fitted to
// the board's plane; used inside this folder.
#pragma once

#include "compare/fine_patches.h"

namespace verdigrid {

// The map near `start` that the patches on the board's plane agree on; every region of the photo
// before counts alike. Where the tops of parts outnumber what shows of the board they can pass for
// its plane; the outlines lie on the board itself, so where these do not agree with the patches
// several fits are made and the one that most of both lies on is taken. `rectification` of the
// photo before.
PlaneMap fine_map(const Looking& l, const BoardPhoto& before, const BoardPhoto& after,
                  const Rectification& rectification, const PlaneMap& start,
                  const AlignmentOptions& options, const Work& work);

}  // namespace verdigrid
