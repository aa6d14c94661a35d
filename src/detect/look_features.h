// What the guided look knows of each superpixel: colour relative to the board, texture at several
// scales, surroundings, and the automatic map. No position, so that answers carry over to other
// photos.
#pragma once

#include <opencv2/core.hpp>

#include "detect/residue.h"
#include "detect/superpixels.h"
#include "detect/working_image.h"

namespace verdigrid {

// Raised whenever a feature is added, dropped or computed otherwise; answers of another version
// teach nothing.
inline constexpr int k_look_features_version = 1;

// CV_32FC1, one row per superpixel, k_look_feature_count columns.
inline constexpr int k_look_feature_count = 37;
cv::Mat look_features(const WorkingImage& image, const Superpixels& superpixels,
                      const cv::Mat& working_confidence);

// Mean of a CV_8UC1 or CV_32FC1 picture over each superpixel.
std::vector<float> means_over(const cv::Mat& picture, const Superpixels& superpixels);

}  // namespace verdigrid
