// Overlapping photos of one rendered board, each of a part of it, with the truth of where they lie.
#pragma once

#include <optional>
#include <vector>

#include "compare/join.h"
#include "synthetic/shot.h"

namespace verdigrid {

struct RenderedParts {
  synthetic::BoardSpec spec;
  std::vector<synthetic::Shot> shots;
  std::vector<Photo> photos;
};

// Two by two photos, tilt to 8 degrees, turned by up to 4 degrees, each in its own exposure, one
// lens.
RenderedParts rendered_parts(int number, cv::Size photo_px);

// At the seams: how far apart two neighbouring photos put what the joined picture shows there, px
// of the joined picture.
struct SeamError {
  double rms_px = 0, worst_px = 0;
  int places = 0;
};
SeamError seam_error(const Joined& joined, const RenderedParts& parts);

// The residue area that the joined picture shows, by the true labels of its photos and the board's
// frame laid over it by the board's own corners, over the true one; empty when it has no residue.
std::optional<double> area_ratio(const Joined& joined, const RenderedParts& parts);

}  // namespace verdigrid
