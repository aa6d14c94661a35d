// Uneven light, seen on the board's own most common material: how bright the same colour is in
// different places.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/colour.h"
#include "photo/check_items.h"

namespace verdigrid {

namespace {

constexpr int k_columns = 12, k_rows = 9;
constexpr int k_bins = 32;              // of r / (r + g + b) and g / (r + g + b), linear light
constexpr float k_least_light = 0.01F;  // of 3: darker px have no reliable colour
constexpr int k_step = 2;               // every second reduced px both ways
constexpr int k_least_samples = 40;     // in a block
constexpr size_t k_least_blocks = 12;   // for a curved surface of light
constexpr int k_terms = 6;

struct Sample {
  int bin = -1;  // -1: not judged, too dark or clipped
  float luminance = 0;
};

Sample sample_at(const CheckView& view, int y, int x) {
  if (!view.judged.at<uchar>(y, x)) return {};
  const auto& light = linear_from_srgb8();
  const cv::Vec3b& px = view.bgr.at<cv::Vec3b>(y, x);
  if (std::max({px[0], px[1], px[2]}) >= 250) return {};
  const float b = light[px[0]], g = light[px[1]], r = light[px[2]], sum = r + g + b;
  if (sum < k_least_light) return {};
  const int red = std::min(k_bins - 1, static_cast<int>(r / sum * k_bins));
  const int green = std::min(k_bins - 1, static_cast<int>(g / sum * k_bins));
  // Luminance weights of IEC 61966-2-1.
  return {red * k_bins + green, 0.2126F * r + 0.7152F * g + 0.0722F * b};
}

int most_common_bin(const CheckView& view) {
  std::array<int, k_bins * k_bins> counts{};
  for (int y = 0; y < view.bgr.rows; y += k_step)
    for (int x = 0; x < view.bgr.cols; x += k_step)
      if (const Sample s = sample_at(view, y, x); s.bin >= 0) ++counts[static_cast<size_t>(s.bin)];
  return static_cast<int>(std::max_element(counts.begin(), counts.end()) - counts.begin());
}

bool is_near(int bin, int other) {
  return std::abs(bin / k_bins - other / k_bins) <= 1 &&
         std::abs(bin % k_bins - other % k_bins) <= 1;
}

struct Block {
  cv::Point2d at;  // -1..1 both ways over the judged box
  double log_light = 0;
};

std::vector<Block> blocks(const CheckView& view) {
  const int common = most_common_bin(view);
  const cv::Rect box = cv::boundingRect(view.judged);
  std::array<std::vector<float>, k_columns * k_rows> light;
  for (int y = box.y; y < box.br().y; y += k_step)
    for (int x = box.x; x < box.br().x; x += k_step) {
      const Sample s = sample_at(view, y, x);
      if (s.bin < 0 || !is_near(s.bin, common)) continue;
      const int column = (x - box.x) * k_columns / box.width;
      const int row = (y - box.y) * k_rows / box.height;
      light[static_cast<size_t>(row * k_columns + column)].push_back(s.luminance);
    }
  std::vector<Block> out;
  for (int i = 0; i < k_columns * k_rows; ++i) {
    auto& values = light[static_cast<size_t>(i)];
    if (values.size() < static_cast<size_t>(k_least_samples)) continue;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    out.push_back(
        {{(i % k_columns + 0.5) * 2 / k_columns - 1, (i / k_columns + 0.5) * 2 / k_rows - 1},
         std::log(static_cast<double>(*middle))});
  }
  return out;
}

std::array<double, k_terms> terms(cv::Point2d p) {
  return {1, p.x, p.y, p.x * p.x, p.x * p.y, p.y * p.y};
}

// A curved surface through the blocks; those far off it (another material of the same colour) lose
// their weight (iterated, Cauchy weights).
cv::Mat fitted_surface(const std::vector<Block>& all) {
  cv::Mat weights(static_cast<int>(all.size()), 1, CV_64F, cv::Scalar(1)), surface;
  constexpr int k_rounds = 10;
  constexpr double k_spread = 0.1;  // of log light: 10 %
  for (int round = 0; round < k_rounds; ++round) {
    cv::Mat left(static_cast<int>(all.size()), k_terms, CV_64F), right(weights.size(), CV_64F);
    for (int i = 0; i < left.rows; ++i) {
      const double w = std::sqrt(weights.at<double>(i));
      const auto t = terms(all[static_cast<size_t>(i)].at);
      for (int k = 0; k < k_terms; ++k) left.at<double>(i, k) = w * t[static_cast<size_t>(k)];
      right.at<double>(i) = w * all[static_cast<size_t>(i)].log_light;
    }
    cv::solve(left, right, surface, cv::DECOMP_SVD);
    for (int i = 0; i < left.rows; ++i) {
      const auto t = terms(all[static_cast<size_t>(i)].at);
      double fit = 0;
      for (int k = 0; k < k_terms; ++k) fit += t[static_cast<size_t>(k)] * surface.at<double>(k);
      const double off = (all[static_cast<size_t>(i)].log_light - fit) / k_spread;
      weights.at<double>(i) = 1 / (1 + off * off);
    }
  }
  return surface;
}

struct Extremes {
  double darkest = 0, brightest = 0;  // log light
  cv::Point2d darkest_at;
};

// Only where blocks were seen: a surface says nothing beyond them.
Extremes extremes(const std::vector<Block>& all, const cv::Mat& surface) {
  Extremes out{1e9, -1e9, {}};
  for (const Block& block : all) {
    const auto t = terms(block.at);
    double fit = 0;
    for (int k = 0; k < k_terms; ++k) fit += t[static_cast<size_t>(k)] * surface.at<double>(k);
    out.brightest = std::max(out.brightest, fit);
    if (fit < out.darkest) {
      out.darkest = fit;
      out.darkest_at = block.at;
    }
  }
  return out;
}

}  // namespace

CheckItem light_item(const CheckView& view) {
  CheckItem item{.id = "light",
                 .unit = "% fall of light",
                 .good_limit = 40,
                 .usable_limit = 75,
                 .source = "common practice, no source"};
  const std::vector<Block> all = blocks(view);
  if (all.size() < k_least_blocks) {
    item.sentence = "Too little of one material is in view to judge how even the light is.";
    return item;
  }
  const Extremes found = extremes(all, fitted_surface(all));
  item.figure = 100 * (1 - std::exp(found.darkest - found.brightest));
  item.verdict = verdict_below(item.figure, item.good_limit, item.usable_limit);
  const std::string where = place_in_frame(found.darkest_at + cv::Point2d(1, 1), {2, 2});
  item.sentence =
      item.verdict == Verdict::good
          ? fmt::format("The light is even: it falls by {:.0f} % towards the {}.", item.figure,
                        where)
          : fmt::format(
                "The light falls by {:.0f} % towards the {}: put a second lamp on that side, "
                "or move the lamps further away.",
                item.figure, where);
  return item;
}

}  // namespace verdigrid
