#include "compare/point_map.h"

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace verdigrid {

namespace {

constexpr int k_step = 8, k_strip_rows = 256;
constexpr int k_window_margin_px = 4;  // more than a lens bends the sides of a tile
constexpr double k_farthest_px = 1e5;  // beyond it a point has no sane place

bool is_sane(cv::Point2d q) {
  return std::abs(q.x) < k_farthest_px && std::abs(q.y) < k_farthest_px;
}

struct Nodes {
  int columns = 0;
  std::vector<cv::Point2d> places;
  std::vector<char> is_sane;
  size_t at(int row, int column) const { return static_cast<size_t>(row * columns + column); }
};

Nodes nodes_of(cv::Rect window, const PointMap& map) {
  Nodes n;
  n.columns = (window.width + k_step - 1) / k_step + 1;
  const int rows = (window.height + k_step - 1) / k_step + 1;
  for (int j = 0; j < rows; ++j)
    for (int i = 0; i < n.columns; ++i) {
      n.places.push_back(map(cv::Point2d(window.x + i * k_step, window.y + j * k_step)));
      n.is_sane.push_back(is_sane(n.places.back()));
    }
  return n;
}

}  // namespace

cv::Mat dense_map(cv::Rect window, const PointMap& map) {
  cv::Mat out(window.size(), CV_32FC2);
  const Nodes n = nodes_of(window, map);
  for (int y = 0; y < window.height; ++y) {
    const int j = y / k_step;
    const double v = static_cast<double>(y % k_step) / k_step;
    auto* row = out.ptr<cv::Vec2f>(y);
    for (int i = 0; i + 1 < n.columns; ++i) {
      const size_t a = n.at(j, i), c = n.at(j + 1, i);
      const bool all = n.is_sane[a] && n.is_sane[a + 1] && n.is_sane[c] && n.is_sane[c + 1];
      const cv::Point2d left = n.places[a] * (1 - v) + n.places[c] * v,
                        right = n.places[a + 1] * (1 - v) + n.places[c + 1] * v;
      const cv::Point2d slope = (right - left) * (1.0 / k_step);
      const int end = std::min((i + 1) * k_step, window.width);
      for (int x = i * k_step; x < end; ++x) {
        const cv::Point2d q = left + slope * (x - i * k_step);
        row[x] = all ? cv::Vec2f(static_cast<float>(q.x), static_cast<float>(q.y))
                     : cv::Vec2f(k_off_map, k_off_map);
      }
    }
  }
  return out;
}

cv::Rect window_through(cv::Rect window, const PointMap& map) {
  double left = k_farthest_px, top = k_farthest_px, right = -k_farthest_px, bottom = -k_farthest_px;
  for (int j = 0; j <= 2; ++j)
    for (int i = 0; i <= 2; ++i) {
      const cv::Point2d q = map(cv::Point2d(window.x + 0.5 * i * (window.width - 1),
                                            window.y + 0.5 * j * (window.height - 1)));
      if (!is_sane(q)) return {};
      left = std::min(left, q.x);
      right = std::max(right, q.x);
      top = std::min(top, q.y);
      bottom = std::max(bottom, q.y);
    }
  const int more = k_window_margin_px;
  return cv::Rect(cv::Point(cvFloor(left) - more, cvFloor(top) - more),
                  cv::Point(cvCeil(right) + more + 1, cvCeil(bottom) + more + 1));
}

void for_tiles(cv::Size size, int side_px, const std::function<void(cv::Rect)>& work) {
  const int columns = (size.width + side_px - 1) / side_px,
            rows = (size.height + side_px - 1) / side_px;
  cv::parallel_for_(cv::Range(0, columns * rows), [&](const cv::Range& range) {
    for (int t = range.start; t < range.end; ++t)
      work(cv::Rect(t % columns * side_px, t / columns * side_px, side_px, side_px) &
           cv::Rect({}, size));
  });
}

cv::Mat seen_through(const cv::Mat& picture, cv::Size size, const PointMap& map, int interpolation,
                     const cv::Scalar& outside) {
  cv::Mat out(size, picture.type());
  const int strips = (size.height + k_strip_rows - 1) / k_strip_rows;
  cv::parallel_for_(cv::Range(0, strips), [&](const cv::Range& range) {
    for (int s = range.start; s < range.end; ++s) {
      const int first = s * k_strip_rows, end = std::min(first + k_strip_rows, size.height);
      cv::Mat strip = out.rowRange(first, end);
      cv::remap(picture, strip, dense_map({0, first, size.width, end - first}, map), cv::noArray(),
                interpolation, cv::BORDER_CONSTANT, outside);
    }
  });
  return out;
}

cv::Mat shown_at(cv::Size picture_px, const cv::Mat& places) {
  cv::Mat out(places.size(), CV_8UC1);
  const auto right = static_cast<float>(picture_px.width) - 0.5F,
             bottom = static_cast<float>(picture_px.height) - 0.5F;
  for (int y = 0; y < out.rows; ++y) {
    const auto* q = places.ptr<cv::Vec2f>(y);
    auto* to = out.ptr<uchar>(y);
    for (int x = 0; x < out.cols; ++x)
      to[x] = q[x][0] > -0.5F && q[x][1] > -0.5F && q[x][0] < right && q[x][1] < bottom ? 255 : 0;
  }
  return out;
}

cv::Mat shown_through(cv::Size picture_px, cv::Size size, const PointMap& map) {
  cv::Mat out(size, CV_8UC1);
  for_tiles(size, k_strip_rows, [&](cv::Rect tile) {
    cv::Mat to = out(tile);
    shown_at(picture_px, dense_map(tile, map)).copyTo(to);
  });
  return out;
}

}  // namespace verdigrid
