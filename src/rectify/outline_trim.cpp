// Takes off what is no board: shadows beside it, and plugs, pins and parts that reach over its
// edge. The solder mask's colour shows on nearly all of a board's edge and on nothing else.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "rectify/main_sides.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

constexpr float k_least_chroma = 14;  // weighted Lab units; below it a colour has no sure hue

float chroma_of(const cv::Vec4f& c) { return std::hypot(c[1], c[2]); }

float hue_gap_deg(const cv::Vec4f& a, const cv::Vec4f& b) {
  const float cross = a[1] * b[2] - a[2] * b[1], dot = a[1] * b[1] + a[2] * b[2];
  return std::abs(std::atan2(cross, dot)) * 180 / std::numbers::pi_v<float>;
}

bool alike(const cv::Vec4f& c, const cv::Vec4f& mode) {
  constexpr float k_hue_deg = 28, k_lightness = 18;
  if (chroma_of(mode) < k_least_chroma)
    return chroma_of(c) < 1.3F * k_least_chroma && std::abs(c[0] - mode[0]) < k_lightness;
  return chroma_of(c) > 0.4F * chroma_of(mode) && hue_gap_deg(c, mode) < k_hue_deg;
}

// How often each group shows in each of 6 x 6 cells of the board's box, as a share of the cell.
struct GroupUse {
  static constexpr int k_cells = 6;
  std::vector<std::vector<double>> cells;  // [group][cell], pixels
  std::vector<double> cell_all = std::vector<double>(k_cells * k_cells, 0);
};

GroupUse group_use(const cv::Mat& groups, const cv::Mat& board, size_t size) {
  constexpr int k_cells = GroupUse::k_cells;
  const cv::Rect box = cv::boundingRect(board);
  GroupUse use;
  use.cells.assign(size, std::vector<double>(use.cell_all.size(), 0));
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x) {
      if (!board.at<uchar>(y, x)) continue;
      const auto cell = static_cast<size_t>((y - box.y) * k_cells / box.height * k_cells +
                                            (x - box.x) * k_cells / box.width);
      use.cells[groups.at<uchar>(y, x)][cell] += 1;
      use.cell_all[cell] += 1;
    }
  return use;
}

struct Spread {
  double share = 0, spread = 0;  // of the board's pixels; of its cells
};

Spread spread_of(const GroupUse& use, const std::vector<uchar>& wanted) {
  double seen = 0, all = 0, cells = 0, cells_seen = 0;
  for (size_t c = 0; c < use.cell_all.size(); ++c) {
    double in_cell = 0;
    for (size_t g = 0; g < wanted.size(); ++g)
      if (wanted[g]) in_cell += use.cells[g][c];
    seen += in_cell;
    all += use.cell_all[c];
    if (use.cell_all[c] < 1) continue;
    cells += 1;
    cells_seen += in_cell > 0.05 * use.cell_all[c];
  }
  return {seen / std::max(1.0, all), cells_seen / std::max(1.0, cells)};
}

std::vector<uchar> groups_alike(const Palette& palette, size_t mode, const GroupOdds& odds) {
  std::vector<uchar> wanted(palette.centres.size(), 0);
  for (size_t g = 0; g < wanted.size(); ++g)
    if (odds[g] < 0.7F && alike(palette.centres[g], palette.centres[mode])) wanted[g] = 255;
  return wanted;
}

// The solder mask: the hue that shows all over the board; without one, the most frequent grey.
std::vector<uchar> solder_mask_groups(const Palette& palette, const GroupUse& use,
                                      const GroupOdds& odds) {
  std::vector<uchar> best(palette.centres.size(), 0);
  double best_weight = -1;
  for (size_t g = 0; g < palette.centres.size(); ++g) {
    if (odds[g] > 0.5F) continue;
    const std::vector<uchar> wanted = groups_alike(palette, g, odds);
    const Spread s = spread_of(use, wanted);
    double weight = s.share * s.spread;
    if (chroma_of(palette.centres[g]) > k_least_chroma && s.share > 0.08 && s.spread > 0.6)
      weight += 10;
    if (weight > best_weight) {
      best_weight = weight;
      best = wanted;
    }
  }
  return best;
}

cv::Mat pixels_of(const cv::Mat& groups, const std::vector<uchar>& wanted) {
  cv::Mat table(1, 256, CV_8UC1, cv::Scalar(0)), out;
  for (size_t g = 0; g < wanted.size(); ++g) table.at<uchar>(static_cast<int>(g)) = wanted[g];
  cv::LUT(groups, table, out);
  return out;
}

struct Line {
  cv::Point2d at, outwards;  // outwards: unit
};

// First solder mask met on the way in from a side, by a robust line: the one with most points on
// it.
std::optional<Line> mask_side(const cv::Mat& mask, cv::Point2d from, cv::Point2d to, double depth) {
  const cv::Point2d along = to - from;
  const double length = cv::norm(along);
  const cv::Point2d unit = along * (1 / length), inwards(-unit.y, unit.x);
  std::vector<cv::Point2d> hits;  // x along the side, y inwards
  const auto solder = [&](double s, double d) {
    const cv::Point2d p = from + unit * s + inwards * d;
    const int x = static_cast<int>(std::lround(p.x)), y = static_cast<int>(std::lround(p.y));
    return x >= 0 && y >= 0 && x < mask.cols && y < mask.rows && mask.at<uchar>(y, x) != 0;
  };
  for (double s = 0; s <= length; s += 1)
    for (double d = -4; d < depth; d += 1)
      if (solder(s, d) && solder(s, d + 1)) {
        hits.emplace_back(s, d);
        break;
      }
  if (hits.size() < 20) return std::nullopt;
  constexpr double k_on_line_px = 1.3;
  double best_weight = 0, best_d = 0, best_slope = 0;
  for (double slope = -0.24; slope <= 0.2401; slope += 0.008) {
    std::vector<double> at;
    for (const cv::Point2d h : hits) at.push_back(h.y - slope * h.x);
    std::sort(at.begin(), at.end());
    for (size_t i = 0, j = 0; i < at.size(); ++i) {
      while (at[i] - at[j] > 2 * k_on_line_px) ++j;
      // A line further in needs more points: parts at the edge hide it, they never add to it.
      const double in = std::max(0.0, at[j] + slope * length / 2);
      const double weight = static_cast<double>(i - j + 1) / (1 + 10 * in / depth);
      if (weight > best_weight) {
        best_weight = weight;
        best_d = (at[i] + at[j]) / 2;
        best_slope = slope;
      }
    }
  }
  if (best_weight < 0.1 * length) return std::nullopt;
  const cv::Point2d direction = unit + inwards * best_slope;
  const double norm = cv::norm(direction);
  return Line{from + inwards * (best_d - 0.5), cv::Point2d(direction.y, -direction.x) * (1 / norm)};
}

// First and last set pixel of each row: all that a box around the map needs.
std::vector<cv::Point> row_ends(const cv::Mat& map) {
  std::vector<cv::Point> ends;
  for (int y = 0; y < map.rows; ++y) {
    const auto* row = map.ptr<uchar>(y);
    int left = 0, right = map.cols - 1;
    while (left < map.cols && row[left] == 0) ++left;
    if (left == map.cols) continue;
    while (row[right] == 0) --right;
    ends.emplace_back(left, y);
    ends.emplace_back(right, y);
  }
  return ends;
}

// A connector tongue beyond a side's line: wide, striped, without background showing through, and
// the yellow of gold or laminate, where plugs and pins are grey or let the background through.
int add_tongues(cv::Mat& kept, const cv::Mat& beyond, const TrimView& view, double size) {
  constexpr double k_least_area = 0.01, k_least_width = 0.22, k_least_solid = 0.85;
  // Tinned fingers are grey like a plug, so they must be wide, bright and striped all over.
  constexpr double k_least_bright = 60, k_tinned_width = 0.6, k_tinned_solid = 0.95,
                   k_tinned_texture = 8;
  constexpr double k_least_texture = 6, k_least_yellow = 16;  // Lab b above a neutral
  int tongues = 0;
  cv::Mat labels, stats, centroids;
  const int count = cv::connectedComponentsWithStats(beyond, labels, stats, centroids, 4);
  for (int i = 1; i < count; ++i) {
    const int pixels = stats.at<int>(i, cv::CC_STAT_AREA);
    const int width =
        std::max(stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT));
    if (pixels < k_least_area * size * size || width < k_least_width * size) continue;
    double solid = 0, texture = 0;
    cv::Vec3d sum{};
    for (int y = 0; y < labels.rows; ++y)
      for (int x = 0; x < labels.cols; ++x) {
        if (labels.at<int>(y, x) != i) continue;
        const uchar group = view.groups.at<uchar>(y, x);
        solid += view.odds[group] < -0.7F;
        texture += view.palette.centres[group][3];
        sum += cv::Vec3d(view.lab.at<cv::Vec3f>(y, x));
      }
    const double a = sum[1] / pixels, b = sum[2] / pixels;
    const bool is_gold = b > k_least_yellow && b > std::abs(a) && solid > k_least_solid * pixels;
    const bool is_tinned = sum[0] > k_least_bright * pixels && width > k_tinned_width * size &&
                           solid > k_tinned_solid * pixels && texture > k_tinned_texture * pixels;
    const bool is_tongue = texture > k_least_texture * pixels && (is_gold || is_tinned);
    if (!is_tongue) continue;
    kept.setTo(255, labels == i);
    ++tongues;
  }
  return tongues;
}

}  // namespace

cv::Mat solder_mask_pixels(const cv::Mat& groups, const Palette& palette, const cv::Mat& board,
                           const GroupOdds& odds) {
  const GroupUse use = group_use(groups, board, palette.centres.size());
  return pixels_of(groups, solder_mask_groups(palette, use, odds));
}

Trimmed trimmed(const cv::Mat& board, const cv::Mat& solder_mask, const TrimView& view) {
  cv::Mat solder, body;
  cv::bitwise_and(solder_mask, board, solder);
  const double size = std::sqrt(static_cast<double>(cv::countNonZero(board)));
  if (cv::countNonZero(solder) < 0.12 * size * size) return {board, 0};
  cv::morphologyEx(solder, body, cv::MORPH_OPEN, cv::Mat());
  const std::vector<cv::Point> points = row_ends(body);
  if (points.size() < 20) return {board, 0};
  std::array<cv::Point2f, 4> box{};
  cv::minAreaRect(points).points(box.data());
  const Ring ring = clockwise(Ring(box.begin(), box.end()));
  cv::Mat kept(board.size(), CV_8UC1, cv::Scalar(255));
  for (size_t i = 0; i < 4; ++i) {
    const auto side = mask_side(solder, ring[i], ring[(i + 1) % 4], 0.3 * size);
    if (!side) continue;
    for (int y = 0; y < kept.rows; ++y)
      for (int x = 0; x < kept.cols; ++x)
        if ((cv::Point2d(x, y) - side->at).dot(side->outwards) > 0.5) kept.at<uchar>(y, x) = 0;
  }
  const int reach = std::max(2, static_cast<int>(std::lround(0.02 * size)));
  cv::Mat near_solder = opened(closed(solder, reach), reach), out;
  const int tongues = add_tongues(near_solder, board & ~kept, view, size);
  cv::bitwise_or(kept, near_solder, out);
  cv::bitwise_and(out, board, out);
  return {opened(out, 2), tongues};
}

std::vector<cv::Mat> colour_islands(const cv::Mat& groups, const Palette& palette) {
  std::vector<double> count(palette.centres.size(), 0);
  for (int y = 0; y < groups.rows; ++y)
    for (int x = 0; x < groups.cols; ++x) count[groups.at<uchar>(y, x)] += 1;
  std::vector<uchar> used(count.size(), 0);
  std::vector<cv::Mat> islands;
  constexpr int k_islands = 3;
  for (int round = 0; round < k_islands; ++round) {
    size_t mode = 0;
    double most = 0;
    for (size_t g = 0; g < count.size(); ++g) {
      if (used[g] || chroma_of(palette.centres[g]) < k_least_chroma) continue;
      if (count[g] > most) {
        most = count[g];
        mode = g;
      }
    }
    if (most < 0.01 * static_cast<double>(groups.total())) break;
    std::vector<uchar> wanted(count.size(), 0);
    for (size_t g = 0; g < count.size(); ++g)
      if (alike(palette.centres[g], palette.centres[mode])) wanted[g] = used[g] = 255;
    islands.push_back(pixels_of(groups, wanted));
  }
  return islands;
}

}  // namespace verdigrid
