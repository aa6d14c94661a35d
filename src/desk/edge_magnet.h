// Pulls a dragged corner to the nearest corner of edges in the photo.
//
// Looks at one small patch of the level on which `reach_px` is about 20 pixels: cheap enough for
// every frame. May be called from any thread.
#pragma once

#include <optional>

#include "desk/pyramid.h"

namespace verdigrid {

// The strongest corner within `reach_px` of the point, photo px; empty where there is none.
std::optional<cv::Point2d> corner_near(const Pyramid& photo, cv::Point2d p_px, double reach_px);

}  // namespace verdigrid
