// The figures of the photo bench for one photo: labels against hand-drawn truth, by the rules of
// its score script (patches of at least 0.01 % of the photo; found from 30 % cover).
#pragma once

#include <algorithm>
#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "detect/residue.h"

namespace verdigrid::bench {

inline constexpr int k_unscored = 255;

struct Score {
  long tp = 0, fp = 0, fn = 0;
  std::array<int, k_residue_count> truth{}, found{};  // patches by class

  double iou() const { return double(tp) / double(std::max(1L, tp + fp + fn)); }
  Score& operator+=(const Score& o);
};

// `truth` CV_8UC1: residue ids 0..6, 255 not scored. `labels` residue ids, same size.
class Scorer {
 public:
  explicit Scorer(cv::Mat truth);
  Score score(const cv::Mat& labels) const;
  const cv::Mat& truth() const { return truth_; }
  long least_px() const { return least_px_; }

 private:
  struct Patch {
    cv::Rect box;
    cv::Mat on;  // CV_8UC1, of the box
    int residue = 0;
    long area = 0;
  };
  cv::Mat truth_, scored_, damaged_;
  long least_px_ = 0;
  std::vector<Patch> patches_;
};

}  // namespace verdigrid::bench
