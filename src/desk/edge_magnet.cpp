#include "desk/edge_magnet.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace verdigrid {

namespace {

constexpr double k_patch_reach = 20;        // pixels of the level that is looked at
constexpr double k_least_strength = 0.002;  // smaller eigenvalue of the gradient matrix, grey 0..1

}  // namespace

std::optional<cv::Point2d> corner_near(const Pyramid& photo, cv::Point2d p_px, double reach_px) {
  const int level =
      std::clamp(static_cast<int>(std::lround(std::log2(std::max(1.0, reach_px / k_patch_reach)))),
                 0, photo.level_count() - 1);
  const double k = 1 << level;
  const cv::Mat& picture = photo.levels[static_cast<size_t>(level)];
  // Level px from photo px: both have pixel centres at whole numbers.
  const cv::Point2d centre((p_px.x + 0.5) / k - 0.5, (p_px.y + 0.5) / k - 0.5);
  const double reach = reach_px / k;
  const int half = static_cast<int>(std::ceil(reach)) + 8;
  const cv::Rect box =
      cv::Rect(cvRound(centre.x) - half, cvRound(centre.y) - half, 2 * half + 1, 2 * half + 1) &
      cv::Rect({0, 0}, picture.size());
  if (box.width < 12 || box.height < 12) return std::nullopt;
  cv::Mat grey, strength;
  cv::cvtColor(picture(box), grey, cv::COLOR_BGR2GRAY);
  grey.convertTo(grey, CV_32F, 1 / 255.0);
  cv::cornerMinEigenVal(grey, strength, 5, 3);
  cv::Point2d best;
  double best_score = 0;
  for (int y = 0; y < strength.rows; ++y)
    for (int x = 0; x < strength.cols; ++x) {
      const double off = cv::norm(cv::Point2d(x + box.x, y + box.y) - centre);
      const double here = strength.at<float>(y, x);
      if (off > reach || here < k_least_strength) continue;
      const double score = here * (1 - 0.5 * off / reach);  // the nearer of two equal ones
      if (score > best_score) best_score = score, best = cv::Point2d(x, y);
    }
  if (best_score <= 0) return std::nullopt;
  std::vector<cv::Point2f> refined{cv::Point2f(best)};
  if (best.x > 4 && best.y > 4 && best.x < grey.cols - 5 && best.y < grey.rows - 5)
    cv::cornerSubPix(grey, refined, {3, 3}, {-1, -1},
                     {cv::TermCriteria::COUNT + cv::TermCriteria::EPS, 20, 0.01});
  const cv::Point2d corner = cv::Point2d(refined[0]) + cv::Point2d(box.tl());
  return cv::Point2d((corner.x + 0.5) * k - 0.5, (corner.y + 0.5) * k - 0.5);
}

}  // namespace verdigrid
