#include <algorithm>
#include <cmath>
#include <map>

#include "compare/join_parts.h"
#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_rounds = 12;
constexpr double k_lens_sd = 0.1;  // as in plane_map.cpp
constexpr double k_together_px = 0.1;
constexpr double k_good_px = 0.3;     // median of what is left, where nothing is left out
constexpr double k_clear_gain = 0.6;  // of the median that must be left at most

// Photo i: the plane (the first photo's px, undistorted) seen by homography and lens. Parameters:
// eight numbers per photo but the first, on coordinates of about 1, then k1 and k2.
class Fit {
 public:
  Fit(const std::vector<Photo>& photos, const JoinPlaces& places) : pairs_(places.pairs) {
    const cv::Size first = photos[0].bgr.size();
    unit_ = std::max(first.width, first.height);
    centre_ = plain_lens(first).centre_px;
    one_lens_ = std::all_of(photos.begin(), photos.end(), [&](const Photo& p) {
      return std::max(p.bgr.cols, p.bgr.rows) == std::max(first.width, first.height) &&
             p.bgr.total() == photos[0].bgr.total();
    });
    for (size_t i = 0; i < photos.size(); ++i) {
      PlaneMap m = places.photo_from_first[i];
      m.first = m.second = plain_lens(photos[i].bgr.size());
      m.first = plain_lens(first);
      maps_.push_back(m);
      // Stored the other way: the plane from the photo, as the residuals want it.
      plane_from_photo_.push_back(m.second_from_first.inv());
    }
  }

  JoinFit fitted() {
    p_.assign(8 * (maps_.size() - 1) + (one_lens_ ? 2 : 0), 0.0);
    for (int round = 0; round < k_rounds; ++round)
      if (!improve(cut())) break;
    JoinFit out;
    for (const JoinPair& pair : pairs_) out.off_px.push_back(cv::norm(miss(pair, p_)));
    for (size_t i = 0; i < maps_.size(); ++i) {
      PlaneMap m = maps_[i];
      m.second.k = lens(p_);
      m.second_from_first = homography(i, p_).inv();
      out.photo_from_plane.push_back(m);
    }
    return out;
  }

 private:
  std::array<double, 2> lens(const std::vector<double>& p) const {
    if (!one_lens_) return {};
    return {p[p.size() - 2], p[p.size() - 1]};
  }
  // A small change of the plane's coordinates after the first homography.
  cv::Matx33d homography(size_t i, const std::vector<double>& p) const {
    if (i == 0) return plane_from_photo_[0];
    const double* d = p.data() + 8 * (i - 1);
    const cv::Matx33d change(1 + d[0], d[1], d[2], d[3], 1 + d[4], d[5], d[6], d[7], 1);
    const double s = 1 / unit_;
    const cv::Matx33d in(s, 0, -s * centre_.x, 0, s, -s * centre_.y, 0, 0, 1);
    return in.inv() * change * in * plane_from_photo_[i];
  }
  cv::Point2d on_plane(size_t i, cv::Point2d px, const std::vector<double>& p) const {
    PlainLens l = maps_[i].second;
    l.k = lens(p);
    return mapped(homography(i, p), ideal_px(l, px));
  }
  cv::Point2d miss(const JoinPair& pair, const std::vector<double>& p) const {
    return on_plane(pair.b, pair.b_px, p) - on_plane(pair.a, pair.a_px, p);
  }
  double cut() const {
    std::vector<double> off;
    for (const JoinPair& pair : pairs_) off.push_back(cv::norm(miss(pair, p_)));
    std::nth_element(off.begin(), off.begin() + static_cast<long>(off.size() / 2), off.end());
    return std::max(1.0, 5 * off[off.size() / 2]);
  }
  bool improve(double cut_px);
  std::vector<size_t> parameters_of(const JoinPair& pair) const;

  const std::vector<JoinPair>& pairs_;
  std::vector<PlaneMap> maps_;
  std::vector<cv::Matx33d> plane_from_photo_;
  std::vector<double> p_;
  double unit_ = 1;
  cv::Point2d centre_;
  bool one_lens_ = false;
};

std::vector<size_t> Fit::parameters_of(const JoinPair& pair) const {
  std::vector<size_t> out;
  for (const size_t photo : {pair.a, pair.b})
    for (size_t k = 0; photo > 0 && k < 8; ++k) out.push_back(8 * (photo - 1) + k);
  for (size_t k = 0; one_lens_ && k < 2; ++k) out.push_back(p_.size() - 2 + k);
  return out;
}

bool Fit::improve(double cut_px) {
  const int n = static_cast<int>(p_.size());
  cv::Mat normal = cv::Mat::zeros(n, n, CV_64F), right = cv::Mat::zeros(n, 1, CV_64F);
  constexpr double k_step = 1e-6;
  std::vector<double> q = p_;
  double total = 0;
  for (const JoinPair& pair : pairs_) {
    const cv::Point2d at = miss(pair, p_);
    const double w = biweight(cv::norm(at), cut_px);
    if (w <= 0) continue;
    total += w;
    const std::vector<size_t> used = parameters_of(pair);
    std::vector<cv::Point2d> slope;
    for (const size_t k : used) {
      q[k] += k_step;
      slope.push_back((miss(pair, q) - at) * (1 / k_step));
      q[k] = p_[k];
    }
    for (size_t i = 0; i < used.size(); ++i) {
      right.at<double>(static_cast<int>(used[i])) -= w * slope[i].dot(at);
      for (size_t j = 0; j < used.size(); ++j)
        normal.at<double>(static_cast<int>(used[i]), static_cast<int>(used[j])) +=
            w * slope[i].dot(slope[j]);
    }
  }
  if (one_lens_) {
    const double ridge = total * k_together_px * k_together_px / (k_lens_sd * k_lens_sd);
    for (int k = n - 2; k < n; ++k) {
      normal.at<double>(k, k) += ridge;
      right.at<double>(k) -= ridge * p_[static_cast<size_t>(k)];
    }
  }
  for (int k = 0; k < n; ++k) normal.at<double>(k, k) = normal.at<double>(k, k) * (1 + 1e-9) + 1e-9;
  cv::Mat step;
  if (!cv::solve(normal, right, step, cv::DECOMP_CHOLESKY)) return false;
  for (int k = 0; k < n; ++k) p_[static_cast<size_t>(k)] += step.at<double>(k);
  return cv::norm(step) > 1e-12;
}

}  // namespace

namespace {

using Overlap = std::pair<size_t, size_t>;

double median_of(std::vector<double> v) {
  if (v.empty()) return 0;
  const auto middle = v.begin() + static_cast<long>(v.size() / 2);
  std::nth_element(v.begin(), middle, v.end());
  return *middle;
}

// Without `overlap`: are all photos still tied to the first one?
bool is_tied(const std::vector<JoinPair>& pairs, size_t photos, Overlap without) {
  std::vector<bool> is_reached(photos, false);
  is_reached[0] = true;
  for (size_t round = 0; round < photos; ++round)
    for (const JoinPair& p : pairs)
      if (Overlap(p.a, p.b) != without && is_reached[p.a] != is_reached[p.b])
        is_reached[p.a] = is_reached[p.b] = true;
  return std::all_of(is_reached.begin(), is_reached.end(), [](bool b) { return b; });
}

}  // namespace

// An overlap that was aligned wrongly pulls all others: it is left out where the rest then fits
// clearly better.
JoinFit join_fit(const std::vector<Photo>& photos, const JoinPlaces& places) {
  JoinPlaces kept = places;
  JoinFit fit = Fit(photos, kept).fitted();
  while (median_of(fit.off_px) > k_good_px) {
    std::map<Overlap, bool> overlaps;
    for (const JoinPair& p : kept.pairs) overlaps[{p.a, p.b}] = true;
    JoinPlaces best = kept;
    JoinFit best_fit = fit;
    for (const auto& [overlap, unused] : overlaps) {
      if (!is_tied(kept.pairs, photos.size(), overlap)) continue;
      JoinPlaces fewer = kept;
      std::erase_if(fewer.pairs,
                    [o = overlap](const JoinPair& p) { return Overlap(p.a, p.b) == o; });
      JoinFit next = Fit(photos, fewer).fitted();
      if (median_of(next.off_px) >= median_of(best_fit.off_px)) continue;
      best = std::move(fewer);
      best_fit = std::move(next);
    }
    if (median_of(best_fit.off_px) > k_clear_gain * median_of(fit.off_px)) break;
    kept = std::move(best);
    fit = std::move(best_fit);
  }
  return fit;
}

}  // namespace verdigrid
