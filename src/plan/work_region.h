// Where a place of work lies on a photo: its part's body, its work area, or its findings.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "measure/survey.h"
#include "plan/plan.h"

namespace verdigrid {

// Box in photo px of the survey's photo; empty where nothing says where it is. `layout`: as it lies
// on that photo, null without one. `designator`: of the part that is worked on, may be empty.
std::optional<cv::Rect2d> work_region_px(const Survey& survey, const Layout* layout,
                                         const WorkItem& item, const std::string& designator);

// Where on that photo the two ends of a pair are soldered; empty where the layout does not know
// them.
std::optional<std::array<cv::Point2d, 2>> pair_px(const Survey& survey, const Layout& layout,
                                                  const NetPair& pair);

// The region with surroundings as a square crop inside the photo. Half as wide again as the region,
// and at least `least_mm` wide where there is a scale (a twelfth of the photo without).
cv::Rect work_crop_px(const Survey& survey, const cv::Rect2d& region_px, double least_mm = 20);

}  // namespace verdigrid
