#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/colour.h"
#include "compare/join_parts.h"
#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_window_px = 9;
constexpr int k_rounds = 8;
constexpr double k_dark = 8, k_bright = 245;
constexpr double k_black = 1.0 / 4096;  // added before the logarithm
constexpr double k_ridge = 0.02;        // of a sample, per parameter: held near none

double log_light(double level) { return std::log(linear_from_srgb(level / 255) + k_black); }

double radius2(cv::Point2d p, cv::Size size) {
  const cv::Point2d q = (p - cv::Point2d(size.width / 2.0, size.height / 2.0)) *
                        (1.0 / std::max(size.width, size.height));
  return q.dot(q);
}

cv::Scalar mean_at(const cv::Mat& bgr, cv::Point2d p) {
  const cv::Rect box = cv::Rect(cvRound(p.x) - k_window_px / 2, cvRound(p.y) - k_window_px / 2,
                                k_window_px, k_window_px) &
                       cv::Rect({}, bgr.size());
  return box.area() == 0 ? cv::Scalar() : cv::mean(bgr(box));
}

struct Sample {
  size_t a = 0, b = 0;
  double a_radius2 = 0, b_radius2 = 0;
  double difference = 0;  // log light of a less that of b
};

// Gains and corner terms of one channel so that both photos of every sample come out alike.
std::vector<std::array<double, 2>> solved(const std::vector<Sample>& samples, size_t photos) {
  const int n = static_cast<int>(2 * photos);
  cv::Mat x = cv::Mat::zeros(n, 1, CV_64F);
  const auto value = [&x](size_t photo, int k) -> double& {
    return x.at<double>(static_cast<int>(2 * photo) + k);
  };
  const auto rest = [&](const Sample& s) {
    return s.difference + value(s.a, 0) + value(s.a, 1) * s.a_radius2 - value(s.b, 0) -
           value(s.b, 1) * s.b_radius2;
  };
  for (int round = 0; round < k_rounds && !samples.empty(); ++round) {
    std::vector<double> off;
    for (const Sample& s : samples) off.push_back(std::abs(rest(s)));
    std::nth_element(off.begin(), off.begin() + static_cast<long>(off.size() / 2), off.end());
    const double cut = round == 0 ? 1e9 : std::max(0.02, 7 * off[off.size() / 2]);
    cv::Mat normal = cv::Mat::zeros(n, n, CV_64F), right = cv::Mat::zeros(n, 1, CV_64F);
    for (const Sample& s : samples) {
      const double w = biweight(rest(s), cut);
      const int at[4] = {int(2 * s.a), int(2 * s.a) + 1, int(2 * s.b), int(2 * s.b) + 1};
      const double row[4] = {1, s.a_radius2, -1, -s.b_radius2};
      for (int i = 0; i < 4; ++i) {
        right.at<double>(at[i]) -= w * row[i] * s.difference;
        for (int j = 0; j < 4; ++j) normal.at<double>(at[i], at[j]) += w * row[i] * row[j];
      }
    }
    for (int k = 0; k < n; ++k)
      normal.at<double>(k, k) += k_ridge * static_cast<double>(samples.size());
    normal.at<double>(0, 0) += 1e3 * static_cast<double>(samples.size());  // the first stays
    cv::solve(normal, right, x, cv::DECOMP_CHOLESKY);
  }
  std::vector<std::array<double, 2>> out;
  for (size_t i = 0; i < photos; ++i) out.push_back({value(i, 0), value(i, 1)});
  return out;
}

}  // namespace

void fit_light(const std::vector<Photo>& photos, const std::vector<JoinPair>& pairs,
               std::vector<JoinedPhoto>& placed) {
  std::array<std::vector<Sample>, 3> samples;
  for (const JoinPair& pair : pairs) {
    const cv::Scalar a = mean_at(photos[pair.a].bgr, pair.a_px),
                     b = mean_at(photos[pair.b].bgr, pair.b_px);
    for (int c = 0; c < 3; ++c)
      if (a[c] > k_dark && a[c] < k_bright && b[c] > k_dark && b[c] < k_bright)
        samples[static_cast<size_t>(c)].push_back(
            {pair.a, pair.b, radius2(pair.a_px, photos[pair.a].bgr.size()),
             radius2(pair.b_px, photos[pair.b].bgr.size()), log_light(a[c]) - log_light(b[c])});
  }
  for (size_t c = 0; c < samples.size(); ++c) {
    const auto light = solved(samples[c], photos.size());
    for (size_t i = 0; i < placed.size(); ++i) placed[i].light[c] = light[i];
  }
}

void even_light(cv::Mat& bgr, const cv::Mat& map_px, cv::Size photo_px, const JoinedPhoto& placed) {
  std::array<double, 256> linear{};
  for (int v = 0; v < 256; ++v) linear[static_cast<size_t>(v)] = linear_from_srgb(v / 255.0);
  constexpr int k_levels = 4096;
  std::vector<uchar> levels(k_levels + 1);
  for (int i = 0; i <= k_levels; ++i)
    levels[static_cast<size_t>(i)] =
        cv::saturate_cast<uchar>(255 * srgb_from_linear(static_cast<double>(i) / k_levels));
  for (int y = 0; y < bgr.rows; ++y) {
    auto* row = bgr.ptr<cv::Vec3b>(y);
    const auto* at = map_px.ptr<cv::Vec2f>(y);
    for (int x = 0; x < bgr.cols; ++x) {
      const double r2 = radius2({at[x][0], at[x][1]}, photo_px);
      for (int c = 0; c < 3; ++c) {
        const auto& l = placed.light[static_cast<size_t>(c)];
        const double light = linear[row[x][c]] * std::exp(l[0] + l[1] * r2);
        row[x][c] = levels[static_cast<size_t>(std::clamp(light, 0.0, 1.0) * k_levels)];
      }
    }
  }
}

}  // namespace verdigrid
