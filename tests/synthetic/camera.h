// The camera and the light of a rendered photo, and where they put each point of the board.
//
// Photo px: origin at the centre of the top-left pixel, y down. The back is seen mirrored, as a
// camera sees it. A value; the same spec gives the same photo.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "rectify/rectification.h"

namespace verdigrid::synthetic {

enum class Background { desk, wood, mat, paper, cloth, dark };
inline constexpr int k_background_count = 6;
const char* name(Background b);

struct CameraSpec {
  std::uint64_t seed = 1;
  cv::Size photo_px{640, 480};
  double fill = 0.88;   // of the frame's width or height that the outline takes, whichever is more
  double tilt_deg = 0;  // 0..30, camera axis against the board's normal
  double tilt_direction_deg = 0;  // which way it leans
  double rotation_deg = 0;        // of the board in the photo, counter-clockwise as seen, any
  cv::Point2d shift{0, 0};        // of the board's centre, share of the frame, +-0.5
  double focal_share = 1.1;       // focal length over the longer side of the photo
  double k1 = 0, k2 = 0;          // radial lens distortion (Brown 1966), on normalised coordinates
  double height_scale = 1;        // 0: parts are flat, no parallax and no shadows

  double vignetting = 0.15;   // light lost in the corners, share
  double light_slope = 0.15;  // uneven light: +- share across the frame
  double light_azimuth_deg = 130, light_elevation_deg = 55;
  double direct_share = 0.55;  // of the light that comes from the lamp and throws shadows
  double glare = 0;            // 0..1: mirror image of a lamp on the solder mask
  double gloss = 1;            // 0..1: all other specular light
  double exposure_ev = 0;
  double metering = 0;     // 0: exposure_ev alone; 1: the photo's mean is brought to mid grey first
  double contrast = 0.15;  // 0: plain sRGB; 1: strong camera curve
  cv::Vec3d white_balance{1, 1, 1};  // gains of B, G, R
  double defocus_px = 0.5;           // sigma of the blur in the plane of focus
  double defocus_slope_px = 0;       // more blur towards one edge: sigma there
  double noise = 0.006;              // sd of the read and shot noise at mid grey, share of white
  double sharpening = 0;             // 0..1: halo as phones make it
  int jpeg_quality = 90;             // 1..100; 0: no JPEG round trip
  Background background = Background::desk;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// Neutral even light from everywhere, no shadow, gloss, noise, blur or JPEG: colours come out as
// the board's own.
CameraSpec flat_camera(cv::Size photo_px);

// Where the camera stands.
struct View {
  cv::Matx33d board_mm_from_photo_px;  // of undistorted px
  Lens lens;                           // its camera matrix holds also when k1 = k2 = 0
  cv::Point3d eye_mm;                  // board frame, z up from the pictured side's surface
  double px_per_mm = 0;                // at the outline's centre
  double tilt_deg = 0;
};
View view_of(const CameraSpec& camera, cv::Size2d board_mm, Side side);

// Undistorted px to distorted (as seen) and back.
cv::Point2d seen_px(const View& view, cv::Point2d undistorted_px);
cv::Point2d undistorted_px(const View& view, cv::Point2d seen_px);

cv::Point2d photo_px_of(const View& view, cv::Point2d board_mm);  // as seen
cv::Point2d board_mm_of(const View& view, cv::Point2d seen_px);

}  // namespace verdigrid::synthetic
