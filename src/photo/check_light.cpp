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

constexpr int k_bins = 32;              // of r / (r + g + b) and g / (r + g + b), linear light
constexpr float k_least_light = 0.01F;  // of 3: darker px have no reliable colour
constexpr size_t k_samples = 15'000;
constexpr int k_terms = 6;
constexpr int k_columns = 6, k_rows = 4;  // blocks in which the surface must be borne out
constexpr int k_least_blocks = 8;
constexpr double k_least_share = 0.5;
constexpr double k_bearing_share = 0.1;  // of a block's fair share of samples

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

// Every n-th reduced px both ways, so that about k_samples are left.
int step_for(const CheckView& view) {
  return std::max(
      1, static_cast<int>(std::lround(std::sqrt(view.judged_px / static_cast<double>(k_samples)))));
}

// Grey things differ in how light they are; a coat of one colour hardly does.
bool is_coloured(int bin) {
  constexpr double k_grey = 1.0 / 3, k_least_distance = 0.08;
  const double red = (bin / k_bins + 0.5) / k_bins, green = (bin % k_bins + 0.5) / k_bins;
  return std::hypot(red - k_grey, green - k_grey) >= k_least_distance;
}

// The most common colour when it covers enough, else the most common grey.
int most_common_bin(const CheckView& view) {
  std::array<int, k_bins * k_bins> counts{};
  const int step = step_for(view);
  int all = 0;
  for (int y = 0; y < view.bgr.rows; y += step)
    for (int x = 0; x < view.bgr.cols; x += step)
      if (const Sample s = sample_at(view, y, x); s.bin >= 0)
        ++counts[static_cast<size_t>(s.bin)], ++all;
  int best = 0, best_coloured = 0;
  for (int bin = 0; bin < k_bins * k_bins; ++bin) {
    const auto count = [&](int i) { return counts[static_cast<size_t>(i)]; };
    if (count(bin) > count(best)) best = bin;
    if (is_coloured(bin) && count(bin) > count(best_coloured)) best_coloured = bin;
  }
  constexpr double k_enough = 0.05;
  const bool is_enough = counts[static_cast<size_t>(best_coloured)] > k_enough * all;
  return is_coloured(best_coloured) && is_enough ? best_coloured : best;
}

bool is_near(int bin, int other) {
  return std::abs(bin / k_bins - other / k_bins) <= 1 &&
         std::abs(bin % k_bins - other % k_bins) <= 1;
}

struct Place {
  cv::Point2d at;  // -1..1 both ways over the judged box
  double log_light = 0;
};

// All samples of the board's most common colour.
std::vector<Place> places(const CheckView& view) {
  const int common = most_common_bin(view), step = step_for(view);
  const cv::Rect box = cv::boundingRect(view.judged);
  std::vector<Place> out;
  for (int y = box.y; y < box.br().y; y += step)
    for (int x = box.x; x < box.br().x; x += step) {
      const Sample s = sample_at(view, y, x);
      if (s.bin < 0 || !is_near(s.bin, common)) continue;
      out.push_back(
          {{(x - box.x + 0.5) * 2 / box.width - 1, (y - box.y + 0.5) * 2 / box.height - 1},
           std::log(static_cast<double>(s.luminance))});
    }
  return out;
}

// The fullest window of 0.2 in log light (20 %): one material among those of the same colour.
double most_common_log_light(const std::vector<Place>& all) {
  std::vector<double> sorted;
  for (const Place& place : all) sorted.push_back(place.log_light);
  std::sort(sorted.begin(), sorted.end());
  constexpr double k_window = 0.2;
  size_t best = 0, most = 0;
  for (size_t from = 0, to = 0; from < sorted.size(); ++from) {
    while (to < sorted.size() && sorted[to] < sorted[from] + k_window) ++to;
    if (to - from > most) most = to - from, best = (from + to) / 2;
  }
  return sorted[std::min(best, sorted.size() - 1)];
}

std::array<double, k_terms> terms(cv::Point2d p) {
  return {1, p.x, p.y, p.x * p.x, p.x * p.y, p.y * p.y};
}

using Surface = std::array<double, k_terms>;

double log_light_at(const Surface& surface, cv::Point2d p) {
  const auto t = terms(p);
  double out = 0;
  for (size_t k = 0; k < k_terms; ++k) out += t[k] * surface[k];
  return out;
}

// Least squares with Cauchy weights around the surface of the round before.
Surface refitted(const std::vector<Place>& all, const Surface& before, double spread) {
  cv::Matx<double, k_terms, k_terms> left = cv::Matx<double, k_terms, k_terms>::eye() * 1e-6;
  cv::Matx<double, k_terms, 1> right;
  for (const Place& place : all) {
    const auto t = terms(place.at);
    const double off = (place.log_light - log_light_at(before, place.at)) / spread;
    const double weight = 1 / ((1 + off * off) * (1 + off * off));
    for (int i = 0; i < k_terms; ++i) {
      const double w = weight * t[static_cast<size_t>(i)];
      right(i) += w * place.log_light;
      for (int k = 0; k < k_terms; ++k) left(i, k) += w * t[static_cast<size_t>(k)];
    }
  }
  const cv::Matx<double, k_terms, 1> solved = left.solve(right, cv::DECOMP_CHOLESKY);
  Surface out{};
  for (int i = 0; i < k_terms; ++i) out[static_cast<size_t>(i)] = solved(i);
  return out;
}

// A curved surface of light through one material. It starts flat and is drawn in: what lies far off
// it (another material of the same colour, a shadow's core) loses its weight.
Surface fitted_surface(const std::vector<Place>& all) {
  constexpr std::array k_spreads{0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.15, 0.15, 0.15};
  Surface surface{most_common_log_light(all)};
  for (const double spread : k_spreads) surface = refitted(all, surface, spread);
  return surface;
}

struct Extremes {
  double darkest = 1e9, brightest = -1e9;  // log light
  cv::Point2d darkest_at;
  int blocks = 0;
  double share_on_surface = 0;  // of the samples of this colour
};

// Only blocks with enough samples on the surface count: it says nothing beyond them.
Extremes extremes(const std::vector<Place>& all, const Surface& surface) {
  std::array<int, k_columns * k_rows> bearing{};
  int on_surface = 0;
  for (const Place& place : all) {
    if (std::abs(place.log_light - log_light_at(surface, place.at)) > 0.25) continue;
    const int column = std::min(k_columns - 1, static_cast<int>((place.at.x + 1) / 2 * k_columns));
    const int row = std::min(k_rows - 1, static_cast<int>((place.at.y + 1) / 2 * k_rows));
    ++bearing[static_cast<size_t>(row * k_columns + column)];
    ++on_surface;
  }
  Extremes out;
  out.share_on_surface = static_cast<double>(on_surface) / static_cast<double>(all.size());
  const double least = k_bearing_share * static_cast<double>(k_samples) / (k_columns * k_rows);
  for (int i = 0; i < k_columns * k_rows; ++i) {
    if (bearing[static_cast<size_t>(i)] < least) continue;
    ++out.blocks;
    const cv::Point2d at((i % k_columns + 0.5) * 2 / k_columns - 1,
                         (i / k_columns + 0.5) * 2 / k_rows - 1);
    const double light = log_light_at(surface, at);
    out.brightest = std::max(out.brightest, light);
    if (light < out.darkest) out.darkest = light, out.darkest_at = at;
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
  const std::vector<Place> all = places(view);
  Extremes found;
  if (!all.empty()) found = extremes(all, fitted_surface(all));
  if (found.blocks < k_least_blocks || found.share_on_surface < k_least_share) {
    item.sentence = "Too little of one material is in view to judge how even the light is.";
    return item;
  }
  item.figure = 100 * (1 - std::exp(found.darkest - found.brightest));
  item.verdict = verdict_below(item.figure, item.good_limit, item.usable_limit);
  // Without an outline other things of the same colour are in view: no reason to reshoot.
  if (view.is_whole_frame) item.verdict = std::min(item.verdict, Verdict::usable);
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
