// Which flagged pixels a person wants told apart or taken together, beyond what lies near each
// other. Photo px; may be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace verdigrid {

struct Deposit;

struct GroupingStep {
  enum class Kind { split, merge } kind = Kind::split;
  cv::Point2d a_px, b_px;  // split: ends of the cut; merge: a pixel of each
  bool operator==(const GroupingStep&) const = default;
};
using Grouping = std::vector<GroupingStep>;

// Splits: every deposit that the segment touches is cut along the whole line through it. Merges:
// the deposits that hold the two pixels become one. A step that no longer hits anything is passed
// over. `confidence` CV_8UC1, size of the photo.
std::vector<Deposit> regrouped(std::vector<Deposit> deposits, const Grouping& grouping,
                               const cv::Mat& confidence);

}  // namespace verdigrid
