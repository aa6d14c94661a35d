// Board frames: from the corners of a rectangle in a photo to board coordinates, with the turn of
// the photo and the mirroring of the back, and what a rectangle seen in perspective says about the
// camera.
//
// Photo px are of the photo as decoded, before the turn. Board units are mm or board px. Pure; may
// be called from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "rectify/outline.h"
#include "rectify/rectification.h"

namespace verdigrid {

// Takes a point of the photo as decoded to the photo turned clockwise by turn_deg (0, 90, 180,
// 270).
cv::Matx33d turned_from_photo_px(cv::Size photo_size_px, int turn_deg);

// The same corners beginning with the one seen top left once the photo is turned.
Quad seen_corners(const Quad& corners_px, cv::Size photo_size_px, int turn_deg);

// Homography that takes corners in seen order (see seen_corners) to the rectangle (0,0)..size. The
// back is mirrored, so that the corner seen top left becomes the top
// right one. Throws Error{bad_input} for corners that make no quadrilateral.
cv::Matx33d board_from_seen_corners(const Quad& seen_px, Side side, cv::Size2d size);

// Pinhole camera with square pixels and the principal point in the middle.
cv::Matx33d assumed_camera(cv::Size photo_size_px, double focal_px);

// Focal length taken when nothing says better: 0.75 of the photo's long side, the main camera of a
// phone (26 mm on a 36 x 24 mm frame, 4:3 picture: 0.75; common practice, no source).
double assumed_focal_px(cv::Size photo_size_px);

// Width over height of the rectangle whose image, in seen order, is `corners_px`. Z. Zhang, L.-W.
// He, "Whiteboard scanning and image enhancement", Digital Signal Processing 17(2), 2007, 414-432,
// with the focal length given.
double aspect_of(const Quad& corners_px, const cv::Matx33d& camera);

// Angle between the camera's axis and the normal of the board plane, from the homography that takes
// photo px to a metric (equal scales in x and y) board frame. R. Hartley, A. Zisserman, "Multiple
// View Geometry in Computer Vision", 2nd ed., 2003, section 8.1: H = K [r1 r2 t].
double tilt_deg_of(const cv::Matx33d& board_from_photo_px, const cv::Matx33d& camera);

// Centre of the outline's area in photo px.
cv::Point2d centre_of(const Ring& outline_px);

}  // namespace verdigrid
