#include "detect/network_regions.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

namespace verdigrid {
namespace {

constexpr float k_least_share = 0.002F;  // log odds beyond +-6.2 say nothing more
constexpr int k_step = 4;                // of the rows and columns that the level is read from

float log_odds(float p) {
  const float q = std::clamp(p, k_least_share, 1 - k_least_share);
  return std::log(q / (1 - q));
}

// As numpy's quantile: straight lines between the sorted values.
double quantile_of(std::vector<float> values, double q) {
  std::sort(values.begin(), values.end());
  const double at = q * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::size_t>(at);
  const auto high = std::min(low + 1, values.size() - 1);
  const double share = at - static_cast<double>(low);
  return (1 - share) * static_cast<double>(values[low]) + share * static_cast<double>(values[high]);
}

struct Region {
  double area_px = 0;
  float peak = 0;
  std::vector<double> votes;  // by class, the first (none) stays 0
};

std::vector<Region> regions_of(const cv::Mat& ids, int count, const cv::Mat& residue,
                               const std::vector<cv::Mat>& shares) {
  std::vector<Region> regions(static_cast<std::size_t>(count),
                              {0, 0, std::vector<double>(shares.size(), 0)});
  for (int y = 0; y < ids.rows; ++y)
    for (int x = 0; x < ids.cols; ++x) {
      if (ids.at<int>(y, x) == 0) continue;
      auto& r = regions[static_cast<std::size_t>(ids.at<int>(y, x))];
      r.area_px += 1;
      r.peak = std::max(r.peak, residue.at<float>(y, x));
      for (std::size_t c = 1; c < shares.size(); ++c)
        r.votes[c] += static_cast<double>(shares[c].at<float>(y, x));
    }
  return regions;
}

bool is_too_large(const Region& r, const NetworkModel& m, double photo_px) {
  double all = 1e-9;
  for (const double v : r.votes) all += v;
  return std::any_of(m.largest.begin(), m.largest.end(), [&](const LargestOfClass& l) {
    for (std::size_t c = 1; c < m.classes.size(); ++c)
      if (m.classes[c] == l.residue)
        return r.votes[c] > l.purity * all && r.area_px > l.most_share * photo_px;
    return false;
  });
}

}  // namespace

cv::Mat above_photo_level(const cv::Mat& residue, const PhotoLevel& level) {
  require(residue.type() == CV_32FC1 && !residue.empty(), "a map of shares");
  std::vector<float> seen;
  for (int y = 0; y < residue.rows; y += k_step)
    for (int x = 0; x < residue.cols; x += k_step)
      seen.push_back(log_odds(residue.at<float>(y, x)));
  const auto taken =
      static_cast<float>(std::max(0.0, quantile_of(std::move(seen), level.quantile) + level.slack));
  cv::Mat out(residue.size(), CV_32FC1);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x)
      out.at<float>(y, x) = 1 / (1 + std::exp(taken - log_odds(residue.at<float>(y, x))));
  return out;
}

cv::Mat kept_regions(const NetworkModel& model, Setting setting, const cv::Mat& residue,
                     const std::vector<cv::Mat>& shares) {
  const NetworkRule& rule = model.rules.at(setting);
  cv::Mat ids;
  const int n = cv::connectedComponents(residue >= static_cast<float>(rule.low), ids, 8);
  const auto regions = regions_of(ids, n, residue, shares);
  const auto photo_px = static_cast<double>(residue.total());
  std::vector<uchar> kept(regions.size(), 0);
  bool has_seed = rule.seed <= 0;
  for (std::size_t i = 1; i < regions.size(); ++i) {
    const auto& r = regions[i];
    if (is_too_large(r, model, photo_px)) continue;
    has_seed = has_seed || (r.peak >= static_cast<float>(rule.seed) && r.area_px >= rule.seed_area);
    kept[i] = r.peak >= static_cast<float>(rule.high) && r.area_px >= rule.least_area ? 255 : 0;
  }
  cv::Mat out(ids.size(), CV_8UC1, cv::Scalar(0));
  if (!has_seed) return out;
  const auto span = static_cast<float>(model.span);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x) {
      const auto i = static_cast<std::size_t>(ids.at<int>(y, x));
      if (kept[i] != 0 &&
          (span <= 0 || log_odds(residue.at<float>(y, x)) >= log_odds(regions[i].peak) - span))
        out.at<uchar>(y, x) = 255;
    }
  return out;
}

cv::Mat likeliest_residues(const NetworkModel& model, const std::vector<cv::Mat>& shares) {
  const auto& choice = model.class_choice;
  require(choice.factors.size() == model.classes.size(), "one factor per class");
  cv::Mat out(shares[0].size(), CV_8UC1, cv::Scalar(0)), best(shares[0].size(), CV_32FC1);
  best.setTo(-1);
  for (std::size_t c = 1; c < shares.size(); ++c) {
    cv::Mat share = shares[c];
    if (choice.blur_px > 0)
      cv::GaussianBlur(shares[c], share, {}, choice.blur_px, 0, cv::BORDER_REFLECT_101);
    const cv::Mat weighed = share * choice.factors[c], better = weighed > best;
    weighed.copyTo(best, better);
    out.setTo(static_cast<int>(model.classes[c]), better);
  }
  return out;
}

}  // namespace verdigrid
