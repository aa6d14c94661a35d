#include "compare/close_up_search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/features2d.hpp>

#include "compare/close_up_contrast.h"
#include "compare/refine.h"

namespace verdigrid {

namespace {

constexpr int k_close_up_features = 5000;
constexpr size_t k_least_votes = 5;
constexpr std::array<double, 2> k_coarse_px{600, 400};  // longer side of the close-up made small
constexpr size_t k_guesses = 8;
constexpr double k_turn_apart_deg = 30, k_log_scale_apart = 0.45;
constexpr double k_off_share = 0.08, k_off_px = 3;  // of the close-up's size on the photo, and at
                                                    // least so much
constexpr double k_fit_px = 3;                      // of a feature from where the view puts it
// Features are counted on the close-up at so many of its px per px of the photo, and on the photo
// so far round it.
constexpr double k_support_scale = 2;
constexpr int k_support_features = 1500;
constexpr double k_support_margin_px = 12;

// A feature of the close-up and one of the photo that look alike, and the view they stand for.
struct Vote {
  cv::Point2d close_px, photo_px;
  double log_scale = 0;  // of photo px per close-up px
  double turn_deg = 0;   // from close-up to photo
};

double turn_between(double a_deg, double b_deg) {
  return std::abs(std::remainder(a_deg - b_deg, 360.0));
}

cv::Point2d turned(cv::Point2d p, double deg) {
  const double a = deg * CV_PI / 180, c = std::cos(a), s = std::sin(a);
  return {c * p.x - s * p.y, s * p.x + c * p.y};
}

// Where the vote's view puts a point of the close-up.
cv::Point2d placed_by(const Vote& v, cv::Point2d close_px) {
  return v.photo_px + std::exp(v.log_scale) * turned(close_px - v.close_px, v.turn_deg);
}

std::vector<Vote> votes_of(const Features& close_up, const Features& photo,
                           const CloseUpOptions& options) {
  std::vector<Vote> votes;
  if (close_up.descriptors.rows < 2 || photo.descriptors.rows < 2) return votes;
  std::vector<std::vector<cv::DMatch>> nearest;
  cv::BFMatcher(cv::NORM_L2).knnMatch(close_up.descriptors, photo.descriptors, nearest, 2);
  // A place of the photo votes once, by the feature that is most like it: what nothing on the
  // photo fits falls on a few of its features in heaps.
  std::vector<cv::DMatch> best_at(static_cast<size_t>(photo.descriptors.rows),
                                  cv::DMatch(-1, -1, FLT_MAX));
  for (const auto& two : nearest)
    if (two.size() == 2 && two[0].distance < options.ratio * two[1].distance &&
        two[0].distance < best_at[static_cast<size_t>(two[0].trainIdx)].distance)
      best_at[static_cast<size_t>(two[0].trainIdx)] = two[0];
  for (const cv::DMatch& match : best_at) {
    if (match.queryIdx < 0) continue;
    const auto a = static_cast<size_t>(match.queryIdx), b = static_cast<size_t>(match.trainIdx);
    Vote v;
    v.close_px = close_up.points_px[a];
    v.photo_px = photo.points_px[b];
    v.log_scale = std::log(static_cast<double>(photo.sizes_px[b]) / close_up.sizes_px[a]);
    v.turn_deg = static_cast<double>(photo.angles_deg[b]) - close_up.angles_deg[a];
    votes.push_back(v);
  }
  return votes;
}

bool agree(const Vote& a, const Vote& b, double size_px) {
  if (std::abs(a.log_scale - b.log_scale) > k_log_scale_apart ||
      turn_between(a.turn_deg, b.turn_deg) > k_turn_apart_deg)
    return false;
  const double near = std::max(k_off_px, k_off_share * size_px * std::exp(a.log_scale));
  return cv::norm(placed_by(a, b.close_px) - b.photo_px) <= near;
}

std::vector<size_t> agreeing_with(const std::vector<Vote>& votes, const std::vector<char>& is_used,
                                  size_t i, double size_px) {
  std::vector<size_t> with;
  for (size_t j = 0; j < votes.size(); ++j)
    if (!is_used[j] && agree(votes[i], votes[j], size_px)) with.push_back(j);
  return with;
}

// The similarity that most of them agree on.
std::optional<cv::Matx33d> view_of_votes(const std::vector<Vote>& votes,
                                         const std::vector<size_t>& chosen) {
  std::vector<cv::Point2d> from, to;
  for (size_t i : chosen) {
    from.push_back(votes[i].close_px);
    to.push_back(votes[i].photo_px);
  }
  cv::Mat inliers;
  const cv::Mat affine =
      cv::estimateAffinePartial2D(from, to, inliers, cv::RANSAC, k_fit_px, 2000, 0.999);
  if (affine.empty() || cv::countNonZero(inliers) < static_cast<int>(k_least_votes))
    return std::nullopt;
  cv::Matx33d h = cv::Matx33d::eye();
  for (int r = 0; r < 2; ++r)
    for (int c = 0; c < 3; ++c) h(r, c) = affine.at<double>(r, c);
  return h;
}

size_t votes_near(const std::vector<Vote>& votes, const cv::Matx33d& h) {
  return static_cast<size_t>(std::count_if(votes.begin(), votes.end(), [&](const Vote& v) {
    return cv::norm(mapped(h, v.close_px) - v.photo_px) <= k_fit_px;
  }));
}

}  // namespace

double close_up_scale(const cv::Matx33d& photo_from_close_up, cv::Size close_up_px) {
  const cv::Point2d middle{(close_up_px.width - 1) / 2.0, (close_up_px.height - 1) / 2.0};
  return 1 / std::sqrt(local_area_scale(photo_from_close_up, middle));
}

Ring frame_through(const cv::Matx33d& h, cv::Size size) {
  const double x1 = size.width - 0.5, y1 = size.height - 0.5;
  return clockwise(mapped(h, Ring{{-0.5, -0.5}, {x1, -0.5}, {x1, y1}, {-0.5, y1}}));
}

std::vector<CloseUpGuess> close_up_guesses(const Features& photo, const cv::Mat& close_up,
                                           const CloseUpOptions& options, const Work& work) {
  std::vector<Vote> votes =
      votes_of(features_of(close_up, {}, k_close_up_features), photo, options);
  std::erase_if(votes, [&](const Vote& v) {
    const double scale = std::exp(-v.log_scale);
    return scale < 0.7 * options.least_scale || scale > 1.4 * options.largest_scale;
  });
  work.report(0.8);
  const double size_px = std::max(close_up.cols, close_up.rows);
  std::vector<char> is_used(votes.size(), 0);
  std::vector<CloseUpGuess> guesses;
  while (guesses.size() < k_guesses) {
    work.check();
    std::vector<size_t> best;
    for (size_t i = 0; i < votes.size(); ++i) {
      if (is_used[i]) continue;
      std::vector<size_t> with = agreeing_with(votes, is_used, i, size_px);
      if (with.size() > best.size()) best = std::move(with);
    }
    if (best.size() < k_least_votes) break;
    for (size_t i : best) is_used[i] = 1;
    const auto h = view_of_votes(votes, best);
    if (!h) continue;
    guesses.push_back({*h, votes_near(votes, *h)});
  }
  std::stable_sort(guesses.begin(), guesses.end(),
                   [](const CloseUpGuess& a, const CloseUpGuess& b) { return a.votes > b.votes; });
  return guesses;
}

std::vector<CloseUpGuess> coarse_guesses(const Features& photo, const cv::Mat& close_up,
                                         const CloseUpOptions& options, const Work& work) {
  std::vector<CloseUpGuess> out;
  for (const double long_side_px : k_coarse_px) {
    const double by = std::min(1.0, long_side_px / std::max(close_up.cols, close_up.rows));
    CloseUpOptions coarse = options;
    coarse.ratio = 1;
    coarse.least_scale *= by;
    coarse.largest_scale *= by;
    for (const CloseUpGuess& guess :
         close_up_guesses(photo, resized_photo(close_up, by), coarse, work))
      out.push_back({guess.photo_from_close_up * resized_by(by), guess.votes});
  }
  return out;
}

std::vector<CommonFeature> common_features(const Features& photo, const cv::Mat& close_up,
                                           const cv::Matx33d& view) {
  const double scale = close_up_scale(view, close_up.size()),
               reduce = std::min(1.0, k_support_scale / scale);
  const Features fine = features_of(resized_photo(close_up, reduce), {}, k_support_features);
  const double margin = k_support_margin_px * scale;
  const cv::Rect2d near(-margin, -margin, close_up.cols + 2 * margin, close_up.rows + 2 * margin);
  std::vector<size_t> there;
  cv::Mat descriptors;
  const cv::Matx33d close_up_from_photo = view.inv();
  for (size_t i = 0; i < photo.points_px.size(); ++i)
    if (near.contains(mapped(close_up_from_photo, cv::Point2d(photo.points_px[i])))) {
      there.push_back(i);
      descriptors.push_back(photo.descriptors.row(static_cast<int>(i)));
    }
  std::vector<CommonFeature> out;
  if (there.empty() || fine.points_px.empty()) return out;
  std::vector<cv::DMatch> mutual;
  cv::BFMatcher(cv::NORM_L2, true).match(fine.descriptors, descriptors, mutual);
  const cv::Matx33d whole = resized_by(1 / reduce);
  for (const cv::DMatch& m : mutual) {
    const auto a = static_cast<size_t>(m.queryIdx), b = there[static_cast<size_t>(m.trainIdx)];
    const double size_off =
        std::log(static_cast<double>(photo.sizes_px[b]) * scale * reduce / fine.sizes_px[a]);
    out.push_back({photo.points_px[b], mapped(whole, cv::Point2d(fine.points_px[a])),
                   std::abs(size_off) <= k_log_scale_apart});
  }
  return out;
}

bool agrees(const CommonFeature& feature, const cv::Matx33d& view) {
  return feature.is_of_size &&
         cv::norm(mapped(view, feature.close_up_px) - feature.photo_px) <= k_fit_px;
}

FeatureSupport support_of(const std::vector<CommonFeature>& features, const cv::Matx33d& view) {
  const auto count =
      std::count_if(features.begin(), features.end(),
                    [&view](const CommonFeature& feature) { return agrees(feature, view); });
  return {features.size(), static_cast<size_t>(count)};
}

}  // namespace verdigrid
