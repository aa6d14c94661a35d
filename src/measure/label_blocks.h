// Where a picture of labels holds any label at all, block by block: one fast pass over it, after
// which most of a board, which carries nothing, need not be looked at again.
//
// Blocks are `width_px` wide and `k_height_px` high, from pixel (0,0) on. Immutable: read from any
// thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace verdigrid {

class LabelBlocks {
 public:
  static constexpr int k_height_px = 16;

  // Labels CV_8UC1, ids 0..7; blocks of 8 px or wider. Throws Error{bad_input} for a label above 7.
  LabelBlocks(const cv::Mat& labels, int width_px);

  // False: no label lies in columns first .. end - 1 of this row (inside the picture), or in the
  // box, whose border counts as inside. True: one may, less than a block and 8 px away.
  bool any(int first_column, int end_column, int y_px) const;
  bool any(cv::Rect2d box_px) const;

  // The same for each block of this row, left to right.
  const char* of_row(int y_px) const {
    return is_labelled_.data() + static_cast<std::ptrdiff_t>(y_px / k_height_px) * columns_;
  }

 private:
  int count(int column, int row) const {  // of labelled blocks left of and above this one
    return before_[static_cast<size_t>(row * (columns_ + 1) + column)];
  }

  cv::Size size_px_;
  int width_px_, columns_, rows_;
  std::vector<char> is_labelled_;
  std::vector<int> before_;
};

}  // namespace verdigrid
