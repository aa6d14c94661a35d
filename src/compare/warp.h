// Where a point of one photo lies in another photo of the same flat board: a homography, and on top
// of it a smooth cubic displacement for what a homography cannot hold (lens bow, a bent board).
//
// px of the two photos as decoded. Values; may be called from any thread.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

struct Warp {
  cv::Matx33d second_from_first = cv::Matx33d::eye();
  // Displacement in px of the second photo, added after the homography: polynomial terms 1, u, v,
  // uu, uv, vv, uuu, uuv, uvv, vvv of u = (x - centre) / scale in the first photo. All zero: none.
  cv::Point2d centre_px;
  double scale_px = 1;
  std::array<cv::Point2d, 10> bend{};

  bool is_bent() const;
  cv::Point2d operator()(cv::Point2d p_first_px) const;
};

// The point of the first photo that the warp takes to p (Newton's method on the homography's
// inverse; within 0.001 px for bends of a few per cent).
cv::Point2d unwarped(const Warp& warp, cv::Point2d p_second_px);

// The same warp for photos resized to `first_scale` and `second_scale` of their size (pixel
// centres kept: px' = (px + 0.5) * scale - 0.5).
Warp rescaled(const Warp& warp, double first_scale, double second_scale);

struct PointPair {
  cv::Point2d first_px, second_px;
  double weight = 1;
};

// Least squares with Tukey's biweight (Beaton, Tukey, Technometrics 16(2), 1974) about a start:
// first the homography, then, when `bends` says so, the cubic with a slight ridge. Pairs farther
// off than `cut_px` have no weight. Returns `start` when fewer than 8 pairs are within cut_px.
enum class Bends { no, yes };
Warp fitted_warp(const std::vector<PointPair>& pairs, const Warp& start, double cut_px,
                 Bends bends);

}  // namespace verdigrid
