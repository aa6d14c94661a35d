// What of a network's answer is flagged: regions over a threshold, judged against the photo as a
// whole. Used inside this folder; may be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "detect/network_model.h"

namespace verdigrid {

// P(any residue), CV_32FC1 0..1, less the level that the whole photo shows (see PhotoLevel). The
// quantile is taken over every fourth row and column, and log odds lie within +-6.2.
cv::Mat above_photo_level(const cv::Mat& residue, const PhotoLevel& level);

// CV_8UC1, 255 where a region is kept by the rule of the setting and by `largest`, less what lies
// further below its peak than `span`. `residue` as
// from above_photo_level, `shares` as from class_shares, all of one size.
cv::Mat kept_regions(const NetworkModel& model, Setting setting, const cv::Mat& residue,
                     const std::vector<cv::Mat>& shares);

// CV_8UC1, the residue id that each px would get if it were flagged (see ClassChoice).
cv::Mat likeliest_residues(const NetworkModel& model, const std::vector<cv::Mat>& shares);

}  // namespace verdigrid
