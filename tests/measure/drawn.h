// Photos of drawn shapes whose area on the board is known by formula: labels by testing each
// pixel's centre on the board.
#pragma once

#include <functional>

#include "measure/zone_table.h"

namespace verdigrid {

// A camera over a board of `size_mm`: 15 degrees of tilt or less is in `board_from_photo_px`.
struct DrawnView {
  cv::Size photo_px{1200, 900};
  cv::Size2d board_mm{100, 75};
  double tilt_deg = 0;  // about an axis at `axis_deg` in the board plane
  double axis_deg = 30;
  double distance_mm = 160;  // of the camera from the board's middle
  double focal_px = 1500;
  double k1 = 0;  // radial distortion; 0: no lens
};

Rectification rectification_of(const DrawnView& view, Side side = Side::front);

// Label at each pixel whose centre lies at p_mm on the board.
cv::Mat labels_of(const Rectification& r, const std::function<Residue(cv::Point2d p_mm)>& residue);

// Residue inside a circle, none outside.
std::function<Residue(cv::Point2d)> disc(cv::Point2d centre_mm, double radius_mm, Residue residue);

const ZoneRow& square_row(const ZoneTable& table, const std::string& name);

}  // namespace verdigrid
