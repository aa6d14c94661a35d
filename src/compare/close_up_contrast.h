// What close-ups and photos are compared by when light and shade must not count; used inside this
// folder.
#pragma once

#include <opencv2/core.hpp>

namespace verdigrid {

inline constexpr double k_contrast_share = 0.1;  // sigma of the local mean, of the shorter side
// Mean square of contrast of a place that counts.
inline constexpr double k_least_energy = 0.15;

// Lightness against the mean and spread of its neighbourhood, and the two colour differences
// (Lab a, b) in the same measure, which the light's colour moves by a constant only. CV_32FC3.
cv::Mat contrast_of(const cv::Mat& bgr, double sigma_px);

// The picture resized by `scale`, and what that does to its points.
cv::Mat resized(const cv::Mat& picture, double scale);
cv::Matx33d resized_by(double scale);

}  // namespace verdigrid
