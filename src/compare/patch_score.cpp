#include "compare/patch_score.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <opencv2/core/hal/intrin.hpp>
#include <vector>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_lanes = cv::v_int16x8::nlanes;
constexpr int k_most_px = 32'768;  // 255 x 255 x so many fit into 32 bits

// Grey levels as 16-bit numbers, rows padded with zeros to whole vectors.
struct Levels {
  int stride = 0;
  std::vector<std::int16_t> values;
  const std::int16_t* row(int y) const {
    return values.data() + static_cast<size_t>(y) * static_cast<size_t>(stride);
  }
};

Levels levels_of(const cv::Mat& grey, int stride) {
  Levels out;
  out.stride = stride;
  // Two vectors more: the last row may be read beyond its end.
  out.values.assign(static_cast<size_t>(grey.rows * stride + 2 * k_lanes), 0);
  for (int y = 0; y < grey.rows; ++y) {
    const auto* from = grey.ptr<std::uint8_t>(y);
    std::copy(from, from + grey.cols, out.values.begin() + y * stride);
  }
  return out;
}

// WindowSums over rectangles, of levels and of their squares.
class WindowSums {
 public:
  explicit WindowSums(const cv::Mat& grey) : stride_(grey.cols + 1) {
    plain_.assign(static_cast<size_t>((grey.rows + 1) * stride_), 0);
    squares_ = plain_;
    for (int y = 0; y < grey.rows; ++y) {
      const auto* row = grey.ptr<std::uint8_t>(y);
      std::int32_t sum = 0, square = 0;
      for (int x = 0; x < grey.cols; ++x) {
        sum += row[x];
        square += row[x] * row[x];
        const size_t above = at(x + 1, y), here = at(x + 1, y + 1);
        plain_[here] = plain_[above] + sum;
        squares_[here] = squares_[above] + square;
      }
    }
  }
  double plain(cv::Rect box) const { return over(plain_, box); }
  double squares(cv::Rect box) const { return over(squares_, box); }

 private:
  size_t at(int x, int y) const { return static_cast<size_t>(y * stride_ + x); }
  double over(const std::vector<std::int32_t>& sums, cv::Rect box) const {
    const int x = box.x + box.width, y = box.y + box.height;
    return sums[at(x, y)] - sums[at(box.x, y)] - sums[at(x, box.y)] + sums[at(box.x, box.y)];
  }

  int stride_ = 0;
  std::vector<std::int32_t> plain_, squares_;
};

constexpr int k_at_once = 4;

// WindowSums of products at k_at_once places side by side from `at` on.
std::array<std::int32_t, k_at_once> product_sums(const Levels& patch, int rows,
                                                 const Levels& window, cv::Point at) {
  cv::v_int32x4 s0 = cv::v_setzero_s32(), s1 = s0, s2 = s0, s3 = s0;
  for (int r = 0; r < rows; ++r) {
    const std::int16_t *a = patch.row(r), *b = window.row(at.y + r) + at.x;
    for (int k = 0; k < patch.stride; k += k_lanes) {
      const cv::v_int16x8 p = cv::v_load(a + k);
      s0 = cv::v_dotprod(p, cv::v_load(b + k), s0);
      s1 = cv::v_dotprod(p, cv::v_load(b + k + 1), s1);
      s2 = cv::v_dotprod(p, cv::v_load(b + k + 2), s2);
      s3 = cv::v_dotprod(p, cv::v_load(b + k + 3), s3);
    }
  }
  return {cv::v_reduce_sum(s0), cv::v_reduce_sum(s1), cv::v_reduce_sum(s2), cv::v_reduce_sum(s3)};
}

}  // namespace

cv::Mat patch_scores(const cv::Mat& patch, const cv::Mat& window) {
  require(patch.type() == CV_8UC1 && window.type() == CV_8UC1, "patches need grey pictures");
  require(patch.cols <= window.cols && patch.rows <= window.rows && patch.total() <= k_most_px &&
              window.total() <= k_most_px,
          "a patch must fit into its window, and both are small");
  const double n = static_cast<double>(patch.total());
  const Levels small = levels_of(patch, (patch.cols + k_lanes - 1) / k_lanes * k_lanes);
  const Levels wide = levels_of(window, window.cols);
  const WindowSums of_patch(patch), of_window(window);
  const cv::Rect whole({}, patch.size());
  const double patch_sum = of_patch.plain(whole),
               patch_spread = n * of_patch.squares(whole) - patch_sum * patch_sum;
  cv::Mat out(window.rows - patch.rows + 1, window.cols - patch.cols + 1, CV_32FC1);
  for (int y = 0; y < out.rows; ++y)
    for (int x0 = 0; x0 < out.cols; x0 += k_at_once) {
      const auto products = product_sums(small, patch.rows, wide, {x0, y});
      for (int x = x0; x < std::min(x0 + k_at_once, out.cols); ++x) {
        const cv::Rect box({x, y}, patch.size());
        const double sum = of_window.plain(box), spread = n * of_window.squares(box) - sum * sum,
                     both = patch_spread * spread;
        const double common = n * products[static_cast<size_t>(x - x0)] - patch_sum * sum;
        out.at<float>(y, x) = both > 0 ? static_cast<float>(common / std::sqrt(both)) : 0.0F;
      }
    }
  return out;
}

}  // namespace verdigrid
