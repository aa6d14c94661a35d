// How what stands above the board is seen shifted between two photos of it: by where the two
// cameras stood.
//
// Camera positions from the board's two views with an assumed focal length (rectify/frame.h): fair
// for the direction of the shift, rough for its length; likely_height_shift() asks the pairs, too.
// Board units are those of the rectification. Immutable: read from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "compare/plane_mixture.h"
#include "rectify/rectification.h"

namespace verdigrid {

inline constexpr double k_assumed_focal = 0.75;

class HeightShift {
 public:
  // `second_from_first` need only be roughly right.
  // Focal lengths: over the longer sides of the two photos.
  HeightShift(const Rectification& first, const PlaneMap& second_from_first, cv::Size second_px,
              double first_focal = k_assumed_focal, double second_focal = k_assumed_focal);

  // In px of the second photo, per board unit of height, against where the plane puts p; zero when
  // no camera position follows from the views.
  cv::Point2d operator()(cv::Point2d p_first_px) const;

 private:
  struct Eye {
    cv::Point2d over;  // the board place below the camera
    double height = 0;
  };
  static Eye eye_of(const cv::Matx33d& photo_from_board, cv::Size photo_px, double focal);

  const Rectification& first_;
  PlaneMap map_;
  Eye first_eye_, second_eye_;
};

// By the pair of focal lengths, of those that cameras have, under which the pairs are likeliest:
// near a map of the plane, the tops of parts tell where the two cameras stood. Sets nothing in
// `pairs`.
HeightShift likely_height_shift(const Rectification& first, const PlaneMap& second_from_first,
                                cv::Size second_px, std::vector<PlanePair> pairs,
                                const PlaneMixture& mixture);

}  // namespace verdigrid
