#include "detect/superpixels.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/error.h"

namespace verdigrid {
namespace {

struct Centre {
  cv::Vec3f lab;
  cv::Point2f at;
};

struct Grid {
  int columns = 0, rows = 0;
  double spacing = 1;
  int column_of(int x) const { return std::min(columns - 1, static_cast<int>(x / spacing)); }
  int row_of(int y) const { return std::min(rows - 1, static_cast<int>(y / spacing)); }
};

struct Sum {
  cv::Vec3d lab;
  cv::Point2d at;
  int n = 0;
};

std::vector<Centre> first_centres(const cv::Mat& lab, const Grid& grid) {
  std::vector<Centre> centres;
  for (int r = 0; r < grid.rows; ++r)
    for (int c = 0; c < grid.columns; ++c) {
      const int x = std::min(lab.cols - 1, static_cast<int>((c + 0.5) * grid.spacing));
      const int y = std::min(lab.rows - 1, static_cast<int>((r + 0.5) * grid.spacing));
      centres.push_back({lab.at<cv::Vec3f>(y, x), cv::Point2f(float(x), float(y))});
    }
  return centres;
}

void assign(const cv::Mat& lab, const cv::Mat& board, const Grid& grid,
            const std::vector<Centre>& centres, float place_weight, cv::Mat& of_px) {
  cv::parallel_for_(cv::Range(0, lab.rows), [&](const cv::Range& range) {
    for (int y = range.start; y < range.end; ++y) {
      const int row = grid.row_of(y);
      const auto* colour = lab.ptr<cv::Vec3f>(y);
      const auto* on = board.ptr<uchar>(y);
      auto* out = of_px.ptr<int>(y);
      for (int x = 0; x < lab.cols; ++x) {
        out[x] = -1;
        if (!on[x]) continue;
        const int column = grid.column_of(x);
        float least = std::numeric_limits<float>::infinity();
        for (int r = std::max(0, row - 1); r <= std::min(grid.rows - 1, row + 1); ++r)
          for (int c = std::max(0, column - 1); c <= std::min(grid.columns - 1, column + 1); ++c) {
            const int index = r * grid.columns + c;
            const auto& centre = centres[static_cast<std::size_t>(index)];
            const cv::Vec3f d = colour[x] - centre.lab;
            const float dx = float(x) - centre.at.x, dy = float(y) - centre.at.y;
            const float distance = d.dot(d) + place_weight * (dx * dx + dy * dy);
            if (distance < least) {
              least = distance;
              out[x] = index;
            }
          }
      }
    }
  });
}

std::vector<Sum> sums_of(const cv::Mat& lab, const cv::Mat& of_px, std::size_t n) {
  std::vector<Sum> sums(n);
  for (int y = 0; y < lab.rows; ++y) {
    const auto* colour = lab.ptr<cv::Vec3f>(y);
    const auto* index = of_px.ptr<int>(y);
    for (int x = 0; x < lab.cols; ++x) {
      if (index[x] < 0) continue;
      auto& s = sums[static_cast<std::size_t>(index[x])];
      s.lab += cv::Vec3d(colour[x]);
      s.at += cv::Point2d(x, y);
      ++s.n;
    }
  }
  return sums;
}

void move_centres(std::vector<Centre>& centres, const std::vector<Sum>& sums) {
  for (std::size_t i = 0; i < centres.size(); ++i)
    if (sums[i].n > 0)
      centres[i] = {cv::Vec3f(sums[i].lab * (1.0 / sums[i].n)),
                    cv::Point2f(sums[i].at * (1.0 / sums[i].n))};
}

// Drops the empty ones and numbers the rest in reading order of their grid cells.
Superpixels numbered(cv::Mat of_px, const std::vector<Sum>& sums) {
  Superpixels result;
  std::vector<int> number(sums.size(), -1);
  for (std::size_t i = 0; i < sums.size(); ++i) {
    if (sums[i].n == 0) continue;
    number[i] = result.count();
    result.area_px.push_back(sums[i].n);
    result.centre_px.emplace_back(sums[i].at * (1.0 / sums[i].n));
  }
  for (int y = 0; y < of_px.rows; ++y) {
    auto* row = of_px.ptr<int>(y);
    for (int x = 0; x < of_px.cols; ++x)
      if (row[x] >= 0) row[x] = number[static_cast<std::size_t>(row[x])];
  }
  result.of_px = std::move(of_px);
  return result;
}

void find_neighbours(Superpixels& s) {
  s.neighbours.assign(s.area_px.size(), {});
  const auto join = [&](int a, int b) {
    if (a < 0 || b < 0 || a == b) return;
    auto& list = s.neighbours[static_cast<std::size_t>(a)];
    if (!list.empty() && list.back() == b) return;
    list.push_back(b);
    s.neighbours[static_cast<std::size_t>(b)].push_back(a);
  };
  for (int y = 0; y < s.of_px.rows; ++y)
    for (int x = 0; x < s.of_px.cols; ++x) {
      if (x + 1 < s.of_px.cols) join(s.of_px.at<int>(y, x), s.of_px.at<int>(y, x + 1));
      if (y + 1 < s.of_px.rows) join(s.of_px.at<int>(y, x), s.of_px.at<int>(y + 1, x));
    }
  for (auto& list : s.neighbours) {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  }
}

}  // namespace

void SuperpixelOptions::check() const {
  const auto refuse = [](const char* sentence) { throw Error(ErrorKind::wrong_use, sentence); };
  if (!(spacing_px >= 2 && spacing_px <= 200)) refuse("spacing_px must lie between 2 and 200.");
  if (!(compactness > 0)) refuse("compactness must be above 0.");
  if (rounds < 1 || rounds > 50) refuse("rounds must lie between 1 and 50.");
}

Superpixels superpixels_of(const cv::Mat& lab, const cv::Mat& board,
                           const SuperpixelOptions& options) {
  options.check();
  require(lab.type() == CV_32FC3 && board.type() == CV_8UC1 && lab.size() == board.size(),
          "superpixels need float Lab and a board map of the same size");
  const double spacing = options.spacing_px;
  const Grid grid{std::max(1, static_cast<int>(std::ceil(lab.cols / spacing))),
                  std::max(1, static_cast<int>(std::ceil(lab.rows / spacing))), spacing};
  auto centres = first_centres(lab, grid);
  const double weight = options.compactness / spacing;
  cv::Mat of_px(lab.size(), CV_32SC1);
  for (int round = 0; round < options.rounds; ++round) {
    assign(lab, board, grid, centres, static_cast<float>(weight * weight), of_px);
    move_centres(centres, sums_of(lab, of_px, centres.size()));
  }
  auto result = numbered(of_px, sums_of(lab, of_px, centres.size()));
  find_neighbours(result);
  return result;
}

}  // namespace verdigrid
