#include "detect/patch.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace verdigrid {
namespace {

constexpr int k_least_seeds = 3;
constexpr int k_bins = 32;
constexpr float k_bin_width = 4.F;

int bin_of(float v) {
  return std::clamp(static_cast<int>(v / k_bin_width + k_bins / 2.F), 0, k_bins - 1);
}

struct Sums {
  long n = 0;
  cv::Vec3d lab;
  double L2 = 0, c = 0, c2 = 0, c_max = 0, cos = 0, sin = 0;
  double contrast = 0, contrast_max = 0, fine2 = 0, colour2 = 0, own = 0;
};

void add_pixel(Sums& s, const cv::Vec3f& smooth, const cv::Vec3f& sharp, float contrast,
               const OwnColours& own) {
  const auto chroma = flattened_chroma(smooth);
  const double c = std::hypot(chroma.x, chroma.y);
  ++s.n;
  s.lab += cv::Vec3d(smooth);
  s.L2 += smooth[0] * smooth[0];
  s.c += c;
  s.c2 += c * c;
  s.c_max = std::max(s.c_max, c);
  if (c > 1e-6) {
    s.cos += chroma.x / c;
    s.sin += chroma.y / c;
  }
  s.contrast += contrast;
  s.contrast_max = std::max(s.contrast_max, static_cast<double>(contrast));
  const cv::Vec3f d = sharp - smooth;
  s.fine2 += d[0] * d[0];
  s.colour2 += d[1] * d[1] + d[2] * d[2];
  s.own += own.share(chroma);
}

double sd(double sum, double sum2, double n) {
  return std::sqrt(std::max(0.0, sum2 / n - (sum / n) * (sum / n)));
}

void fill_from_sums(Patch& p, const Sums& s, const Noise& noise) {
  const auto n = static_cast<double>(s.n);
  p.lab = cv::Vec3f(s.lab * (1.0 / n));
  p.lightness_sd = sd(s.lab[0], s.L2, n);
  p.chroma = s.c / n;
  p.chroma_sd = sd(s.c, s.c2, n);
  p.chroma_peak = s.c_max;
  constexpr double to_deg = 180.0 / std::numbers::pi;
  p.hue_deg = std::atan2(s.sin, s.cos) * to_deg;
  if (p.hue_deg < 0) p.hue_deg += 360;
  // Circular standard deviation: N. I. Fisher, "Statistical Analysis of Circular Data",
  // 1993, 2.3.1.
  const double resultant = std::clamp(std::hypot(s.cos, s.sin) / n, 1e-9, 1.0);
  p.hue_sd_deg = std::sqrt(-2 * std::log(resultant)) * to_deg;
  p.contrast = s.contrast / n;
  p.contrast_peak = s.contrast_max;
  p.fine_texture = std::sqrt(std::max(0.0, s.fine2 / n - noise.lightness2));
  p.colour_texture = std::sqrt(std::max(0.0, s.colour2 / n - noise.colour2));
  p.own_share = s.own / n;
}

void fill_shape(Patch& p, const cv::Mat& ids) {
  const cv::Mat on = ids(p.box_px) == p.id;
  std::vector<std::vector<cv::Point>> rings;
  cv::findContours(on, rings, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  const auto ring = std::max_element(
      rings.begin(), rings.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
  std::vector<cv::Point> hull;
  cv::convexHull(*ring, hull);
  p.solidity = static_cast<double>(p.area_px) / std::max(1.0, cv::contourArea(hull));
  const auto least = cv::minAreaRect(*ring).size;
  p.slenderness =
      (std::min(least.width, least.height) + 1.0) / (std::max(least.width, least.height) + 1.0);
}

}  // namespace

OwnColours::OwnColours(const WorkingImage& image)
    : shares_(k_bins, k_bins, CV_32FC1, cv::Scalar(0)) {
  float n = 0;
  for (int y = 0; y < image.lab.rows; y += 2) {
    const auto* lab = image.lab.ptr<cv::Vec3f>(y);
    const auto* board = image.board.ptr<uchar>(y);
    for (int x = y / 2 % 2; x < image.lab.cols; x += 2) {
      if (!board[x]) continue;
      const auto c = flattened_chroma(lab[x]);
      shares_.at<float>(bin_of(c.y), bin_of(c.x)) += 1;
      n += 1;
    }
  }
  shares_ *= 1.F / std::max(1.F, n);
  cv::GaussianBlur(shares_, shares_, {3, 3}, 0.7);
}

float OwnColours::share(const cv::Point2f& chroma) const {
  return shares_.at<float>(bin_of(chroma.y), bin_of(chroma.x));
}

Noise noise_of(const WorkingImage& image, const cv::Mat& smooth_lab) {
  std::vector<float> lightness2, colour2;
  for (int y = 0; y < image.lab.rows; y += 5)
    for (int x = y % 5; x < image.lab.cols; x += 5) {
      if (!image.board.at<uchar>(y, x)) continue;
      const cv::Vec3f d = image.lab.at<cv::Vec3f>(y, x) - smooth_lab.at<cv::Vec3f>(y, x);
      lightness2.push_back(d[0] * d[0]);
      colour2.push_back(d[1] * d[1] + d[2] * d[2]);
    }
  if (lightness2.empty()) return {};
  const auto median = [](std::vector<float>& v) {
    const auto middle = v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2);
    std::nth_element(v.begin(), middle, v.end());
    return static_cast<double>(*middle);
  };
  // Mean over median of chi-squared with one and with two degrees of freedom.
  return {median(lightness2) / 0.4549, median(colour2) * 2 / 1.3863};
}

PatchMap patches_of(const WorkingImage& image, const cv::Mat& smooth_lab, const OwnColours& own,
                    const SuspectMap& suspects, long least_area_px) {
  PatchMap map;
  const Noise noise = noise_of(image, smooth_lab);
  cv::Mat stats, centres;
  const int n = cv::connectedComponentsWithStats(suspects.bits & 1, map.ids, stats, centres, 8);
  for (int id = 1; id < n; ++id) {
    Patch p;
    p.id = id;
    p.area_px = stats.at<int>(id, cv::CC_STAT_AREA);
    if (p.area_px < least_area_px) continue;
    p.box_px = {stats.at<int>(id, cv::CC_STAT_LEFT), stats.at<int>(id, cv::CC_STAT_TOP),
                stats.at<int>(id, cv::CC_STAT_WIDTH), stats.at<int>(id, cv::CC_STAT_HEIGHT)};
    Sums sums;
    int seeds = 0;
    for (int y = p.box_px.y; y < p.box_px.br().y; ++y) {
      const auto* ids = map.ids.ptr<int>(y);
      for (int x = p.box_px.x; x < p.box_px.br().x; ++x) {
        if (ids[x] != id) continue;
        seeds += suspects.bits.at<uchar>(y, x) >> 1;
        add_pixel(sums, smooth_lab.at<cv::Vec3f>(y, x), image.lab.at<cv::Vec3f>(y, x),
                  suspects.contrast.at<float>(y, x), own);
      }
    }
    if (seeds < k_least_seeds) continue;
    p.share_of_board = static_cast<double>(p.area_px) / static_cast<double>(image.board_px);
    fill_from_sums(p, sums, noise);
    fill_shape(p, map.ids);
    map.patches.push_back(p);
  }
  return map;
}

}  // namespace verdigrid
