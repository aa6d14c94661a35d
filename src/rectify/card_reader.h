// Finds the scale card in a photo.
//
// Pure; may be called from any thread. Cost: about as much as one pass of adaptive thresholding
// over the photo at reading scale.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "photo/photo.h"

namespace verdigrid {

// What the person says about the card; what is not said widens the interval.
struct CardUse {
  std::optional<double> measured_bar_mm;  // the bar that is 100 mm when printed at full size
  std::optional<double> height_mm;        // of the board's surface above the card (negative: below)
  std::optional<double> camera_distance_mm;  // from the card; empty: from the assumed focal length

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

struct CardReading {
  std::vector<int> ids;                 // markers seen
  std::vector<cv::Point2d> corners_px;  // four per marker, clockwise from its own top left
  std::vector<cv::Point2d> corners_mm;  // the same in the card frame as designed
};

// The card's cut line as seen, by the plane through its markers (photo px, no lens).
Polygon card_outline_px(const CardReading& card);

// Empty when fewer than two markers of the card are seen. Throws Error{no_result} when a marker is
// seen twice (two cards in view).
std::optional<CardReading> find_card(const Photo& photo, const Work& work = {});

}  // namespace verdigrid
