// The steps of joining photos; used inside this folder.
#pragma once

#include <vector>

#include "compare/join.h"

namespace verdigrid {

// The same place in two of the photos.
struct JoinPair {
  size_t a = 0, b = 0;
  cv::Point2d a_px, b_px;
};

// Places of the overlaps of all photos, and a first map of each from the first photo's px.
struct JoinPlaces {
  std::vector<PlaneMap> photo_from_first;
  std::vector<JoinPair> pairs;
};
JoinPlaces join_places(const std::vector<Photo>& photos, const JoinOptions& options,
                       const Work& work);

// All photos fitted together: homographies and one lens for photos of one size; the first photo's
// homography stays. Gives the maps from the first photo's undistorted px, and the residuals.
struct JoinFit {
  std::vector<PlaneMap> photo_from_plane;
  std::vector<double> off_px;  // of each pair, px of the plane
};
JoinFit join_fit(const std::vector<Photo>& photos, const JoinPlaces& places);

// The light of each photo against the first one's.
void fit_light(const std::vector<Photo>& photos, const std::vector<JoinPair>& pairs,
               std::vector<JoinedPhoto>& placed);
// `bgr` a piece of a photo at full size whose first pixel lies at `corner_px` of it.
void even_light(cv::Mat& bgr, const cv::Mat& map_px, cv::Size photo_px, const JoinedPhoto& placed);

// Two photos where both show the side, looked at afresh in the joined picture: patches that are
// found again, and the share of them that lies where it should. Overlaps that show too little to
// tell are left out.
struct JoinLook {
  size_t a = 0, b = 0, patches = 0;
  double fitting_share = 0;
};
std::vector<JoinLook> join_looks(const std::vector<Photo>& photos,
                                 const std::vector<JoinedPhoto>& placed, cv::Size size,
                                 const Work& work);

// CV_8UC1 of `size` (the joined picture reduced by `scale`): index + 1 of the photo to take.
cv::Mat join_sources(const std::vector<Photo>& photos, const std::vector<JoinedPhoto>& placed,
                     cv::Size size, double scale, const Work& work);

}  // namespace verdigrid
