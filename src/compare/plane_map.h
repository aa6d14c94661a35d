// Where a place of the flat board that one photo shows lies in another photo: a homography between
// the two views, and the lens of each.
//
// px of the photos as decoded. Lens: radial, k1 and k2 of Brown (Photogrammetric Engineering 32(3),
// 1966) about the photo's middle, on coordinates divided by its longer side. Values; may be called
// from any thread.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

namespace verdigrid {

// One photo's lens in those terms.
struct PlainLens {
  cv::Point2d centre_px;
  double unit_px = 1;
  std::array<double, 2> k{};
  bool operator==(const PlainLens&) const = default;
};
PlainLens plain_lens(cv::Size photo_size_px);              // without distortion
cv::Point2d ideal_px(const PlainLens& lens, cv::Point2d);  // as seen to undistorted, and back
cv::Point2d seen_px(const PlainLens& lens, cv::Point2d);

struct PlaneMap {
  PlainLens first, second;
  cv::Matx33d second_from_first = cv::Matx33d::eye();  // of undistorted px

  cv::Point2d operator()(cv::Point2d p_first_px) const;
  bool operator==(const PlaneMap&) const = default;
};

PlaneMap inverted(const PlaneMap& map);

// A pair and how what stands above the board there is seen shifted in the second photo.
struct PlanePair {
  cv::Point2d first_px, second_px;
  double weight = 1;
  cv::Point2d shift_px;  // of the second photo, per unit of height; zero: not known, or no shift
};

// Residuals beyond these have no weight. The board lies below everything else: pairs that are off
// as tall things are leave sooner than those that lie lower than the plane, so that the fit sinks
// to the board where the tops of parts outnumber what shows of it.
struct PlaneCut {
  double above_px = 1, below_px = 1;
};

// What is known already: the map is held near these places, most where no pair tells.
struct PlaneHold {
  std::vector<PlanePair> places;
  double share = 0;  // of all places together, of what all pairs count
};

// Robust least squares (biweight) about a start: homography and both lenses, the lenses held near
// none where the pairs do not tell. Returns `start` when fewer than 12 pairs are within the cut.
PlaneMap fitted_plane_map(const std::vector<PlanePair>& pairs, const PlaneMap& start, PlaneCut cut,
                          const PlaneHold& hold = {});

// The same by what each pair may be (plane_mixture.h), without cuts: tops of parts hold the map
// across their shift. Near the solution only. Returns `start` for fewer than 150 pairs.
struct PlaneMixture;
PlaneMap fitted_plane_and_parts(const std::vector<PlanePair>& pairs, const PlaneMap& start,
                                const PlaneMixture& mixture, const PlaneHold& hold = {});

}  // namespace verdigrid
