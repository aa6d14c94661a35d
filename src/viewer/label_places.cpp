#include "viewer/label_places.h"

#include <algorithm>

namespace verdigrid {

namespace {

constexpr float k_margin = 3;  // px of ground around a text

}  // namespace

cv::Point2f LabelPlaces::inside(cv::Point2f wanted, cv::Size2f text) const {
  // A text wider than the canvas begins at its left edge.
  const auto moved = [](float at, float low, float high) {
    return std::max(low, std::min(at, high));
  };
  return {moved(wanted.x, canvas_.x + k_margin, canvas_.br().x - text.width - k_margin),
          moved(wanted.y, canvas_.y + k_margin, canvas_.br().y - text.height - k_margin)};
}

std::optional<cv::Point2f> LabelPlaces::place(const std::vector<cv::Point2f>& wanted,
                                              cv::Size2f text) {
  for (const cv::Point2f& w : wanted) {
    const cv::Point2f at = inside(w, text);
    const cv::Rect2f box(at.x - k_margin, at.y - 1, text.width + 2 * k_margin, text.height + 2);
    if (std::any_of(taken_.begin(), taken_.end(),
                    [&](const cv::Rect2f& t) { return !(t & box).empty(); }))
      continue;
    keep_free(box);
    return at;
  }
  return std::nullopt;
}

}  // namespace verdigrid
