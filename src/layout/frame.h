// Between a part's own frame and the board frame.
//
// Own frame: origin at the body's centre, x right, y down, rotation 0, as seen on the part's own
// side. May be called from any thread.
#pragma once

#include "layout/layout.h"

namespace verdigrid {

cv::Point2d from_part_frame(const Part& part, cv::Point2d p_own);
cv::Point2d to_part_frame(const Part& part, cv::Point2d p_board);

// Any finite angle as [0, 360) degrees.
double turn_in_circle(double angle_deg);

}  // namespace verdigrid
