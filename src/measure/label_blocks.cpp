#include "measure/label_blocks.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <opencv2/core/utility.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr std::uint64_t k_not_a_label = 0xf8f8f8f8f8f8f8f8;
constexpr int k_word_px = 8;

// All labels of some rows laid over each other.
std::vector<std::uint64_t> over_each_other(const cv::Mat& labels, int first_row, int end_row) {
  std::vector<std::uint64_t> all(static_cast<size_t>(labels.cols + k_word_px - 1) / k_word_px, 0);
  const size_t whole = static_cast<size_t>(labels.cols / k_word_px);
  for (int y = first_row; y < end_row; ++y) {
    const auto* line = labels.ptr<std::uint8_t>(y);
    for (size_t i = 0; i < whole; ++i) {
      std::uint64_t word = 0;
      std::memcpy(&word, line + k_word_px * i, k_word_px);
      all[i] |= word;
    }
    std::uint64_t rest = 0;
    std::memcpy(&rest, line + k_word_px * whole, static_cast<size_t>(labels.cols % k_word_px));
    if (whole < all.size()) all[whole] |= rest;
  }
  return all;
}

}  // namespace

LabelBlocks::LabelBlocks(const cv::Mat& labels, int width_px)
    : size_px_(labels.size()),
      width_px_(width_px),
      columns_((labels.cols + width_px - 1) / width_px),
      rows_((labels.rows + k_height_px - 1) / k_height_px),
      is_labelled_(static_cast<size_t>(columns_) * static_cast<size_t>(rows_), 0),
      before_(static_cast<size_t>(columns_ + 1) * static_cast<size_t>(rows_ + 1), 0) {
  require(labels.type() == CV_8UC1 && width_px >= k_word_px, "a block is as wide as a word");
  std::vector<char> is_bad(static_cast<size_t>(rows_), 0);
  cv::parallel_for_(cv::Range(0, rows_), [&](const cv::Range& range) {
    for (int row = range.start; row < range.end; ++row) {
      const std::vector<std::uint64_t> words = over_each_other(
          labels, row * k_height_px, std::min((row + 1) * k_height_px, labels.rows));
      char* block = is_labelled_.data() + static_cast<std::ptrdiff_t>(row) * columns_;
      std::uint64_t all = 0;
      for (size_t i = 0; i < words.size(); ++i) {
        all |= words[i];
        if (words[i] == 0) continue;
        const int first = static_cast<int>(i) * k_word_px;
        const int last = std::min(first + k_word_px, labels.cols) - 1;
        block[first / width_px_] = block[last / width_px_] = 1;
      }
      is_bad[static_cast<size_t>(row)] = (all & k_not_a_label) != 0;
    }
  });
  if (std::find(is_bad.begin(), is_bad.end(), 1) != is_bad.end())
    throw Error(ErrorKind::bad_input,
                "The labels hold a value above 7, which is no residue class. Use a labels "
                "picture that this program wrote.");
  for (int row = 0; row < rows_; ++row) {
    const int* above = before_.data() + static_cast<std::ptrdiff_t>(row) * (columns_ + 1);
    int* here = before_.data() + static_cast<std::ptrdiff_t>(row + 1) * (columns_ + 1);
    int in_row = 0;
    for (int column = 0; column < columns_; ++column) {
      in_row += is_labelled_[static_cast<size_t>(row * columns_ + column)];
      here[column + 1] = above[column + 1] + in_row;
    }
  }
}

bool LabelBlocks::any(int first_column, int end_column, int y_px) const {
  if (first_column >= end_column) return false;
  const int row = y_px / k_height_px, first = first_column / width_px_,
            end = (end_column + width_px_ - 1) / width_px_;
  return count(end, row + 1) - count(first, row + 1) > count(end, row) - count(first, row);
}

bool LabelBlocks::any(cv::Rect2d box_px) const {
  const auto block = [](double px, int size_px, int block_px, int last) {
    return std::clamp(static_cast<int>(std::clamp(px, 0.0, size_px - 1.0)) / block_px, 0, last);
  };
  const int left = block(box_px.x, size_px_.width, width_px_, columns_ - 1),
            right = block(box_px.br().x, size_px_.width, width_px_, columns_ - 1) + 1,
            top = block(box_px.y, size_px_.height, k_height_px, rows_ - 1),
            bottom = block(box_px.br().y, size_px_.height, k_height_px, rows_ - 1) + 1;
  return count(right, bottom) - count(left, bottom) > count(right, top) - count(left, top);
}

}  // namespace verdigrid
