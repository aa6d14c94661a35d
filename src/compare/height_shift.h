// How what stands above the board is seen shifted between two photos of it: by where the two
// cameras stood.
//
// Camera positions from the board's two views with an assumed focal length (rectify/frame.h): good
// for the direction of the shift, rough for its length. Board units are those of the rectification.
// Immutable: read from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "compare/plane_map.h"
#include "rectify/rectification.h"

namespace verdigrid {

class HeightShift {
 public:
  // `second_from_first` need only be roughly right.
  HeightShift(const Rectification& first, const PlaneMap& second_from_first, cv::Size second_px);

  // In px of the second photo, per board unit of height, against where the plane puts p; zero when
  // no camera position follows from the views.
  cv::Point2d operator()(cv::Point2d p_first_px) const;

 private:
  struct Eye {
    cv::Point2d over;  // the board place below the camera
    double height = 0;
  };
  static Eye eye_of(const cv::Matx33d& photo_from_board, cv::Size photo_px);

  const Rectification& first_;
  PlaneMap map_;
  Eye first_eye_, second_eye_;
};

}  // namespace verdigrid
