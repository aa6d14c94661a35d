// Where names may stand on the canvas: inside it, and none on another. Screen px; made anew for
// each frame.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace verdigrid {

class LabelPlaces {
 public:
  explicit LabelPlaces(const cv::Rect2f& canvas) : canvas_(canvas) {}

  // Nothing is written here any more.
  void keep_free(const cv::Rect2f& area) { taken_.push_back(area); }
  // The first of the wanted top-left corners where a text of this size lies on nothing, moved
  // inside the canvas; it is kept free from then on. Empty when all of them are taken.
  std::optional<cv::Point2f> place(const std::vector<cv::Point2f>& wanted, cv::Size2f text);
  // The first wanted place as it is or, where that would be cut, moved inside the canvas.
  cv::Point2f inside(cv::Point2f wanted, cv::Size2f text) const;

 private:
  cv::Rect2f canvas_;
  std::vector<cv::Rect2f> taken_;
};

}  // namespace verdigrid
