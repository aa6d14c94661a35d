// One place of a survey as a square picture: the photo round it, turned as the board reads, with
// outlines and hatches of its findings and a scale bar.
//
// `survey` must be of `photo` (require: same size). Returns CV_8UC3 BGR, `side_px` square. May be
// called from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "measure/survey.h"
#include "photo/photo.h"

namespace verdigrid {

cv::Mat place_picture(const Photo& photo, const Survey& survey, const Place& place, int side_px);

}  // namespace verdigrid
