// Rectification ("straighten and scale"): how photo pixels map to the board plane, and how sure the
// scale is.
//
// Board frame: origin at the top-left corner of the outline's bounding box, y down, as the front
// reads; the back photo is mirrored by the rectification, so one place has one coordinate on both
// sides. Unit: mm when `px_per_mm` is known; otherwise the frame is in "board px" (one unit is one
// photo px at the outline's centre) and no mm may be derived from it.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/interval.h"
#include "base/side.h"

namespace verdigrid {

enum class ScaleWay {  // best first
  board_size_outline,  // measured board size, outline found automatically
  board_size_corners,  // measured board size, corners given
  scale_card,
  two_points,  // two points and the distance between them
  layout,      // the layout of the board type, placed by its reference photo
  none,
};
const char* name(ScaleWay way);  // "board-size-outline", "board-size-corners", "scale-card",
                                 // "two-points", "layout", "none"

// Lens: OpenCV's pinhole model with k1 k2 p1 p2 k3 (Brown 1966), for the stored photo size.
struct Lens {
  cv::Matx33d camera;
  std::vector<double> distortion;  // 5 values
  cv::Size photo_size_px;
  double rms_px = 0;  // of its calibration
};

struct Rectification {
  ScaleWay way = ScaleWay::none;
  Side side = Side::front;
  int turn_deg = 0;  // 0, 90, 180, 270: clockwise turn of the photo before anything else
  cv::Size
      photo_size_px;  // of the photo as decoded (before the turn); every px below is in that frame
  std::optional<Lens> lens;  // points are undistorted by it before the homography
  cv::Matx33d board_from_photo_px = cv::Matx33d::eye();  // of undistorted px when lens is set
  std::optional<Interval>
      px_per_mm;  // at the outline's centre, with its 95 % interval; empty: no scale
  double length_rel_sd =
      0;  // relative standard deviation of every length in mm (scale only); 0 without scale
  double edge_sd_px = 0.5;         // how far an outline edge may be off, standard deviation
  std::optional<double> tilt_deg;  // camera axis against the board's normal
  Polygon outline_px;     // board outline in photo px (distorted, as seen); empty: none known
  Polygon outline_board;  // the same in the board frame
  bool outline_is_frame = false;     // no outline: the photo frame stands in for it
  std::vector<std::string> remarks;  // sentences for the person

  bool has_scale() const { return px_per_mm.has_value(); }
};

// Brown's model for one point: as seen to ideal px, and back. D. C. Brown, "Decentering distortion
// of lenses", Photogrammetric Engineering 32(3), 1966, 444-462, in OpenCV's notation.
cv::Point2d undistorted_px(const Lens& lens, cv::Point2d p_px);
cv::Point2d distorted_px(const Lens& lens, cv::Point2d p_px);

// Photo px (as decoded, distorted) to the board frame and back.
cv::Point2d board_point(const Rectification& r, cv::Point2d p_px);
cv::Point2d photo_point(const Rectification& r, cv::Point2d p_board);

// Area in board units squared of the photo pixel centred at p_px (1 px x 1 px), by the local
// Jacobian, lens included.
double pixel_area_board(const Rectification& r, cv::Point2d p_px);

// Both of them for many points at once, which costs far less where there is a lens; the area by the
// exact derivative of the lens model. Same order as the points.
struct BoardPixel {
  cv::Point2d p_board;
  double area = 0;  // board units squared of the photo pixel centred there
};
std::vector<BoardPixel> board_pixels(const Rectification& r, const std::vector<cv::Point2d>& p_px);

// Largest board-frame extent, as (width, height) of the outline's bounding box.
cv::Size2d board_size(const Rectification& r);

}  // namespace verdigrid
