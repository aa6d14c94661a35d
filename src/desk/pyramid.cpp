#include "desk/pyramid.h"

#include <algorithm>
#include <array>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

int halved(int n) { return (n + 1) / 2; }

uchar merged(std::array<uchar, 4> four, Reduce how) {
  if (how == Reduce::larger) return *std::max_element(four.begin(), four.end());
  uchar best = 0;
  long best_count = 0;
  for (const uchar id : four) {
    if (id == 0) continue;
    const long n = std::count(four.begin(), four.end(), id);
    if (n > best_count || (n == best_count && id < best)) best = id, best_count = n;
  }
  return best;
}

cv::Mat reduced_labels(const cv::Mat& from, Reduce how) {
  cv::Mat to(halved(from.rows), halved(from.cols), CV_8UC1);
  cv::parallel_for_(cv::Range(0, to.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const uchar* a = from.ptr<uchar>(2 * y);
      const uchar* b = from.ptr<uchar>(std::min(2 * y + 1, from.rows - 1));
      uchar* out = to.ptr<uchar>(y);
      for (int x = 0; x < to.cols; ++x) {
        const int l = 2 * x, r = std::min(2 * x + 1, from.cols - 1);
        out[x] =
            (a[l] | a[r] | b[l] | b[r]) == 0 ? uchar{0} : merged({a[l], a[r], b[l], b[r]}, how);
      }
    }
  });
  return to;
}

cv::Mat reduced_photo(const cv::Mat& from) {
  cv::Mat even = from;
  if (from.rows % 2 != 0 || from.cols % 2 != 0)
    cv::copyMakeBorder(from, even, 0, from.rows % 2, 0, from.cols % 2, cv::BORDER_REPLICATE);
  cv::Mat to;
  cv::resize(even, to, {even.cols / 2, even.rows / 2}, 0, 0, cv::INTER_AREA);
  return to;
}

}  // namespace

cv::Size Pyramid::tiles(int level) const {
  const cv::Mat& m = levels.at(static_cast<size_t>(level));
  return {(m.cols + k_tile_content_px - 1) / k_tile_content_px,
          (m.rows + k_tile_content_px - 1) / k_tile_content_px};
}

Pyramid pyramid_of(const cv::Mat& picture, Reduce how, const Work& work) {
  require(!picture.empty(), "a pyramid needs a picture");
  require(picture.type() == (how == Reduce::mean ? CV_8UC3 : CV_8UC1),
          "photos are CV_8UC3, labels CV_8UC1");
  Pyramid p{{picture}};
  while (std::max(p.levels.back().cols, p.levels.back().rows) > k_tile_content_px) {
    work.check();
    p.levels.push_back(how == Reduce::mean ? reduced_photo(p.levels.back())
                                           : reduced_labels(p.levels.back(), how));
  }
  work.report(1);
  return p;
}

int level_for(double scale, int level_count) {
  int level = 0;
  for (double s = scale; s <= 0.5 && level + 1 < level_count; s *= 2) ++level;
  return level;
}

cv::Mat tile_pixels(const Pyramid& pyramid, int level, int column, int row) {
  const cv::Mat& m = pyramid.levels.at(static_cast<size_t>(level));
  const cv::Size count = pyramid.tiles(level);
  require(column >= 0 && row >= 0 && column < count.width && row < count.height,
          "a tile lies inside its level");
  const cv::Rect wanted(column * k_tile_content_px - 1, row * k_tile_content_px - 1, k_tile_px,
                        k_tile_px);
  const cv::Rect have = wanted & cv::Rect(0, 0, m.cols, m.rows);
  cv::Mat tile;
  cv::copyMakeBorder(m(have), tile, have.y - wanted.y, wanted.br().y - have.br().y,
                     have.x - wanted.x, wanted.br().x - have.br().x,
                     cv::BORDER_REPLICATE | cv::BORDER_ISOLATED);
  return tile;
}

cv::Rect2d tile_rect_px(const Pyramid& pyramid, int level, int column, int row) {
  const cv::Mat& m = pyramid.levels.at(static_cast<size_t>(level));
  const cv::Rect content = cv::Rect(column * k_tile_content_px, row * k_tile_content_px,
                                    k_tile_content_px, k_tile_content_px) &
                           cv::Rect(0, 0, m.cols, m.rows);
  const double k = 1 << level;
  const cv::Mat& base = pyramid.levels.front();
  const double right = std::min(content.br().x * k, static_cast<double>(base.cols)),
               bottom = std::min(content.br().y * k, static_cast<double>(base.rows));
  return {content.x * k - 0.5, content.y * k - 0.5, right - content.x * k, bottom - content.y * k};
}

}  // namespace verdigrid
