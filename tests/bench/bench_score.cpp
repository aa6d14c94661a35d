#include "bench_score.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace verdigrid::bench {

Score& Score::operator+=(const Score& o) {
  tp += o.tp;
  fp += o.fp;
  fn += o.fn;
  for (std::size_t c = 0; c < truth.size(); ++c) {
    truth[c] += o.truth[c];
    found[c] += o.found[c];
  }
  return *this;
}

Scorer::Scorer(cv::Mat truth)
    : truth_(std::move(truth)),
      scored_(truth_ != k_unscored),
      damaged_((truth_ > 0) & scored_),
      least_px_(std::max(4L, static_cast<long>(1e-4 * static_cast<double>(truth_.total())))) {
  cv::Mat closed, ids, stats, centres;
  cv::morphologyEx(damaged_, closed, cv::MORPH_CLOSE,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  const int n = cv::connectedComponentsWithStats(closed, ids, stats, centres, 8);
  for (int id = 1; id < n; ++id) {
    if (stats.at<int>(id, cv::CC_STAT_AREA) < least_px_) continue;
    Patch p;
    p.box = {stats.at<int>(id, cv::CC_STAT_LEFT), stats.at<int>(id, cv::CC_STAT_TOP),
             stats.at<int>(id, cv::CC_STAT_WIDTH), stats.at<int>(id, cv::CC_STAT_HEIGHT)};
    p.on = (ids(p.box) == id) & damaged_(p.box);
    p.area = cv::countNonZero(p.on);
    std::array<int, k_residue_count> votes{};
    for (int y = 0; y < p.on.rows; ++y)
      for (int x = 0; x < p.on.cols; ++x)
        if (p.on.at<uchar>(y, x)) ++votes[truth_(p.box).at<uchar>(y, x) % k_residue_count];
    p.residue = static_cast<int>(std::max_element(votes.begin(), votes.end()) - votes.begin());
    patches_.push_back(std::move(p));
  }
}

Score Scorer::score(const cv::Mat& labels) const {
  const cv::Mat flagged = labels > 0;
  Score s;
  s.tp = cv::countNonZero(flagged & damaged_);
  s.fp = cv::countNonZero(flagged & scored_ & ~damaged_);
  s.fn = cv::countNonZero(damaged_) - s.tp;
  for (const auto& p : patches_) {
    const auto c = static_cast<std::size_t>(p.residue);
    ++s.truth[c];
    const long covered = cv::countNonZero(flagged(p.box) & p.on);
    s.found[c] += static_cast<double>(covered) >= 0.3 * static_cast<double>(p.area);
  }
  return s;
}

}  // namespace verdigrid::bench
