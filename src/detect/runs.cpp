#include "detect/runs.h"

#include <cstdint>
#include <cstring>

#include "base/error.h"

namespace verdigrid {
namespace {

// First non-zero byte in [from, to), or `to`; eight bytes at a time.
int next_set(const unsigned char* row, int from, int to) {
  while (from + 8 <= to) {
    std::uint64_t word = 0;
    std::memcpy(&word, row + from, sizeof word);
    if (word != 0) break;
    from += 8;
  }
  while (from < to && row[from] == 0) ++from;
  return from;
}

}  // namespace

std::vector<Run> runs_of(const cv::Mat& labels) {
  require(labels.empty() || labels.type() == CV_8UC1, "labels are 8-bit ids");
  std::vector<Run> runs;
  for (int y = 0; y < labels.rows; ++y) {
    const auto* row = labels.ptr<unsigned char>(y);
    for (int x = next_set(row, 0, labels.cols); x < labels.cols;
         x = next_set(row, x, labels.cols)) {
      const int from = x;
      while (x < labels.cols && row[x] == row[from]) ++x;
      runs.push_back({y, from, x, row[from]});
    }
  }
  return runs;
}

}  // namespace verdigrid
