#include "photo/focus.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_reach_px = 16;  // how far an edge is followed from its steepest place
// Every fourth row and column is looked at, in large photos every twelfth.
constexpr double k_large_photo_px = 8e6;
constexpr int k_least_slope = 10;  // of I(x+1) - I(x-1), grey levels
constexpr int k_least_rise = 16;   // over 6 px: sorts noise out early
constexpr int k_least_contrast = 24;
// Twice the contrast, over the noise of a slope: below it, noise cuts edges short.
constexpr double k_contrast_per_noise = 16;
constexpr size_t k_least_edges = 12;
constexpr double k_sharpest_share = 0.3;
constexpr double k_slope_cut =
    0.1;  // an edge ends where its slope falls to a tenth of the steepest
constexpr double k_turning_slope = 0.25;
// Share of a Gaussian step's contrast between those two ends: erf(sqrt(ln 10)).
constexpr double k_contrast_kept = 0.96814;
// The difference I(x+1) - I(x-1) averages over 2 px, which adds the variance 4 / 12.
constexpr double k_difference_variance = 1.0 / 3;

// Green levels along one row or column, without gaps: green is the channel next to luminance.
struct Line {
  const uchar* levels;
  int count;
  int begin, end;  // where steepest places are looked for: inside the tile
  // The same px in the photo, for the slope across the line.
  const uchar* photo_green;
  std::ptrdiff_t photo_step, photo_across_step;

  int level(int i) const { return levels[i]; }
  int slope(int i) const { return level(i + 1) - level(i - 1); }
  int slope_across(int i) const {
    const uchar* here = photo_green + i * photo_step;
    return here[photo_across_step] - here[-photo_across_step];
  }
};

// Follows the edge from its steepest place in one direction to where it levels out. -1 where it
// turns back instead, as a thin line does: its contrast is not that of a step.
int end_of_edge(const Line& line, int peak, int direction, int steepest) {
  const double cut = k_slope_cut * std::abs(steepest);
  int at = peak;
  for (int n = 0; n < k_reach_px; ++n) {
    const int next = at + direction;
    if (next < 1 || next >= line.count - 1) break;
    const int slope = steepest > 0 ? line.slope(next) : -line.slope(next);
    if (slope < -k_turning_slope * std::abs(steepest)) return -1;
    if (slope < cut) break;
    at = next;
  }
  return at;
}

// Slope across the line at the same place: an oblique edge looks wider along the line.
double cosine(double along, double across) { return along / std::hypot(along, across); }

// `slope_noise`: standard deviation of a slope without any edge.
void add_edges(const Line& line, double slope_noise, std::vector<float>& widths) {
  for (int i = std::max(3, line.begin); i < std::min(line.end, line.count - 3); ++i) {
    const int slope = line.slope(i), steepest = std::abs(slope);
    if (steepest < k_least_slope) continue;
    if (std::abs(line.level(i + 3) - line.level(i - 3)) < k_least_rise) continue;
    if (steepest < std::abs(line.slope(i - 1)) || steepest <= std::abs(line.slope(i + 1))) continue;
    const int from = end_of_edge(line, i, -1, slope), to = end_of_edge(line, i, +1, slope);
    if (from < 0 || to < 0) continue;
    // Slopes are centred differences: the levels that bound the run lie half a step further out.
    const int contrast =
        std::abs(line.level(to + 1) + line.level(to) - line.level(from) - line.level(from - 1));
    if (contrast < std::max<double>(2 * k_least_contrast, k_contrast_per_noise * slope_noise))
      continue;
    // The steepest of several noisy slopes is too steep by about the noise itself.
    const double true_slope = std::max(steepest / 2.0, steepest - slope_noise);
    const double width =
        (contrast / 2.0 / k_contrast_kept) / (std::sqrt(2 * std::numbers::pi) * true_slope / 2.0);
    const double along = width * cosine(steepest, line.slope_across(i));
    widths.push_back(static_cast<float>(along));
  }
}

float sharpest(std::vector<float>& widths) {
  if (widths.size() < k_least_edges) return 0;
  const auto n = static_cast<std::ptrdiff_t>(k_sharpest_share * static_cast<double>(widths.size()));
  std::nth_element(widths.begin(), widths.begin() + n, widths.end());
  const double w = widths[static_cast<size_t>(n)];
  constexpr double k_least_sigma = 0.3;  // a step between two pixels
  return static_cast<float>(
      std::max(k_least_sigma, std::sqrt(std::max(0.0, w * w - k_difference_variance))));
}

constexpr std::ptrdiff_t k_px_step = 3;

const uchar* green_at(const cv::Mat& bgr, int x, int y) { return bgr.ptr(y) + k_px_step * x + 1; }

// Standard deviation of I(x+1) - I(x-1) by noise alone: sqrt(2) sigma, with sigma from the median
// of |I(x-1) - 2 I(x) + I(x+1)|, whose standard deviation is sqrt(6) sigma, on a few rows. Edges
// and drawing fill less than half of them.
double slope_noise(const cv::Mat& bgr, const cv::Rect& tile) {
  std::array<int, 256> counts{};
  int all = 0;
  const int row_step = std::max(1, tile.height / 4);
  for (int y = tile.y + row_step / 2; y < tile.br().y; y += row_step)
    for (int x = std::max(1, tile.x); x < std::min(tile.br().x, bgr.cols - 1); ++x, ++all) {
      const uchar* here = green_at(bgr, x, y);
      const int bend = std::abs(here[-k_px_step] - 2 * here[0] + here[k_px_step]);
      ++counts[static_cast<size_t>(std::min(255, bend))];
    }
  int below = 0, median = 0;
  while (median < 255 && 2 * (below += counts[static_cast<size_t>(median)]) < all) ++median;
  constexpr double k_sd_per_median = 1.4826;
  return median * k_sd_per_median * std::sqrt(2.0 / 6.0);
}

void add_row_edges(const cv::Mat& bgr, const cv::Rect& tile, const cv::Rect& grown,
                   int line_step_px, double noise, std::vector<float>& widths) {
  std::array<uchar, k_focus_tile_px + 2 * k_reach_px> levels{};
  for (int y = std::max(1, tile.y); y < std::min(tile.br().y, bgr.rows - 1); y += line_step_px) {
    const uchar* from = green_at(bgr, grown.x, y);
    for (int i = 0; i < grown.width; ++i) levels[static_cast<size_t>(i)] = from[k_px_step * i];
    add_edges({levels.data(), grown.width, tile.x - grown.x, tile.br().x - grown.x, from, k_px_step,
               static_cast<std::ptrdiff_t>(bgr.step[0])},
              noise, widths);
  }
}

// Columns are gathered row by row, as they lie in memory.
void add_column_edges(const cv::Mat& bgr, const cv::Rect& tile, const cv::Rect& grown,
                      int line_step_px, double noise, std::vector<float>& widths) {
  constexpr size_t k_longest = k_focus_tile_px + 2 * k_reach_px;
  std::array<std::array<uchar, k_longest>, k_focus_tile_px / 4> columns{};
  const int first = std::max(1, tile.x), last = std::min(tile.br().x, bgr.cols - 1);
  for (int i = 0; i < grown.height; ++i) {
    size_t column = 0;
    for (int x = first; x < last; x += line_step_px)
      columns[column++][static_cast<size_t>(i)] = *green_at(bgr, x, grown.y + i);
  }
  size_t column = 0;
  for (int x = first; x < last; x += line_step_px)
    add_edges({columns[column++].data(), grown.height, tile.y - grown.y, tile.br().y - grown.y,
               green_at(bgr, x, grown.y), static_cast<std::ptrdiff_t>(bgr.step[0]), k_px_step},
              noise, widths);
}

// Lines begin and end up to the reach of an edge outside the tile, where the photo allows.
float tile_sigma(const cv::Mat& bgr, const cv::Rect& tile, int line_step_px) {
  const cv::Rect frame(0, 0, bgr.cols, bgr.rows);
  const cv::Rect grown = cv::Rect(tile.x - k_reach_px, tile.y - k_reach_px,
                                  tile.width + 2 * k_reach_px, tile.height + 2 * k_reach_px) &
                         frame;
  const double noise = slope_noise(bgr, tile);
  std::vector<float> widths;
  add_row_edges(bgr, tile, grown, line_step_px, noise, widths);
  add_column_edges(bgr, tile, grown, line_step_px, noise, widths);
  return sharpest(widths);
}

}  // namespace

FocusMap focus_map(const cv::Mat& bgr, const Work& work) {
  require(bgr.type() == CV_8UC3 && !bgr.empty(), "focus is measured on 8-bit BGR");
  FocusMap map;
  const int tile = map.tile_px;
  map.sigma_px.create((bgr.rows + tile - 1) / tile, (bgr.cols + tile - 1) / tile, CV_32FC1);
  const cv::Rect frame(0, 0, bgr.cols, bgr.rows);
  const int line_step_px = static_cast<double>(bgr.total()) > k_large_photo_px ? 12 : 4;
  cv::parallel_for_(cv::Range(0, map.sigma_px.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end && !work.stop.stop_requested(); ++y)
      for (int x = 0; x < map.sigma_px.cols; ++x)
        map.sigma_px.at<float>(y, x) =
            tile_sigma(bgr, cv::Rect(x * tile, y * tile, tile, tile) & frame, line_step_px);
  });
  work.check();
  return map;
}

double sampling_efficiency(double sigma_px) {
  const double limit = std::sqrt(std::numbers::ln10 / 2) / (std::numbers::pi * sigma_px);
  return std::min(1.0, limit / 0.5);
}

double mtf50_cycles_per_px(double sigma_px) {
  return std::sqrt(std::numbers::ln2 / 2) / (std::numbers::pi * sigma_px);
}

}  // namespace verdigrid
