// Shapes of the board as they lie in the photo, and the part of the board that the photo covers.
//
// A straight edge on the board is curved in a photo with lens distortion: it is cut into short
// pieces first. Pure; may be called from any thread.
#pragma once

#include "rectify/rectification.h"

namespace verdigrid {

// The board's outline, or the photo's frame where the rectification knows none; board frame.
Polygon measured_outline(const Rectification& rectification);

// Whether the point lies in the box or on its edge.
bool holds(const cv::Rect2d& box, cv::Point2d p);

// What is the same for every shape of one photo is worked out once. Holds on to the rectification:
// that must outlive it.
class PhotoShapes {
 public:
  explicit PhotoShapes(const Rectification& rectification);

  // A polygon of the board frame in photo px, cut to the photo (whole-pixel borders: -0.5 to width
  // - 0.5). Empty when nothing of it is in the photo.
  Polygon photo_polygon(const Polygon& polygon_board) const;

  // The part of `polygon_board` that lies in the photo, board frame. The same polygon when all of
  // it does.
  Polygon part_in_photo(const Polygon& polygon_board) const;

 private:
  Ring photo_ring(const Ring& ring_board) const;
  bool is_in_photo(const Ring& ring_board) const;

  const Rectification& r_;
  cv::Matx33d ideal_from_board_;  // undistorted px
  cv::Rect2d frame_;              // of the photo, px
  cv::Rect2d ideal_box_;          // the undistorted px that the photo can show
};

}  // namespace verdigrid
