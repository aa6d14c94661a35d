// What a pair of places of two photos may be: on the board's plane, on a part above it, or a match
// by chance; and how likely each is under a map of the plane.
//
// The top of a part is seen shifted along a known way (height_shift.h), by the more the higher it
// is, so that it still tells where the plane lies across that way. px of the second photo. Used
// inside this folder; may be called from any thread.
#pragma once

#include "compare/plane_map.h"

namespace verdigrid {

struct PlaneMixture {
  double px = 1;           // of the second photo per px that the pair was looked for in
  double part_height = 0;  // mean height of parts, in the board units of PlanePair::shift_px
};

struct MixtureShares {
  double plane = 0, part = 0, chance = 0;  // densities, px^-2 of the looked-for px
  double part_across_sd = 1;               // px of the second photo: how sure a part is across
  double sum() const { return plane + part + chance; }
};

// A miss of the map, along the way in which height shifts the pair and across it.
struct MissOfPlane {
  cv::Point2d up{1, 0};  // unit
  double along_px = 0, across_px = 0;
};
MissOfPlane miss_of_plane(const PlanePair& pair, cv::Point2d miss_px);

MixtureShares mixture_shares(const PlanePair& pair, const MissOfPlane& miss,
                             const PlaneMixture& mixture);
double mixture_sd_px(const PlaneMixture& mixture);  // of a pair on the plane, each way

// Of all pairs together under the map: sum of weighted logarithms.
double mixture_likelihood(const std::vector<PlanePair>& pairs, const PlaneMap& map,
                          const PlaneMixture& mixture);

}  // namespace verdigrid
