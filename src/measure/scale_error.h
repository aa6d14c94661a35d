// How far the scale is off, place by place: the relative error of an area there.
//
// `length_rel_sd` of a rectification holds at the outline's centre. Away from it the perspective
// counts too: each of the four corners of the outline's box may lie off by `edge_sd_px` in x and y,
// and each such slip changes the area of a place by its own factor, known to first order. Slips are
// independent, so the variances add; what a slip does at the centre is in `length_rel_sd` already
// and is taken off. Places far apart share the slips: a board's error is the sum of its squares'
// errors slip by slip, not of their standard deviations. Immutable: read from any thread.
#pragma once

#include <array>
#include <vector>

#include "rectify/rectification.h"

namespace verdigrid {

class ScaleError {
 public:
  explicit ScaleError(const Rectification& rectification);

  // An area at a place of the board: its error by each independent cause, one standard deviation,
  // in the unit of the area. Add the errors of several places cause by cause.
  static constexpr size_t k_causes = 9;  // the scale itself, then two slips of each corner
  using Errors = std::array<double, k_causes>;
  Errors errors(double area, cv::Point2d p_board) const;

  static double variance(const Errors& errors);

 private:
  double length_rel_sd_;
  cv::Matx33d ideal_from_board_;
  std::vector<cv::Matx33d> slipped_from_ideal_;  // board frame with one corner slipped
  Errors at_centre_{};
  cv::Point2d centre_;

  double log_area_change(size_t slip, cv::Point2d p_board) const;
};

}  // namespace verdigrid
