// Which crops to look at first: the worst findings, unlike each other.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/colour.h"
#include "detect/findings.h"

namespace verdigrid {

// How bad a finding is, for the order of findings and places: class (what it does to the board)
// times confidence times a slow growth with area. Our own rule; larger is worse.
double worth_of(Residue residue, double confidence, double share_of_board);

// `worths` and `labs` (mean colour) of each finding. Crops overlap little: a place takes in every
// finding whose centre it shows.
std::vector<Place> places_of(const std::vector<Finding>& findings,
                             const std::vector<double>& worths, const std::vector<Lab>& labs,
                             cv::Size photo_px, int at_most);

// The crop around a box: half as much again on each side, at least 6 % of the photo's longer side,
// inside the photo.
cv::Rect crop_around(const cv::Rect& box_px, cv::Size photo_px);

}  // namespace verdigrid
