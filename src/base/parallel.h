// A few tasks of different kinds side by side.
#pragma once

#include <cstddef>
#include <opencv2/core/utility.hpp>

namespace verdigrid {

// task(0) ... task(count - 1), each once, on as many threads as OpenCV has; returns when all are
// done. The tasks share nothing that one of them changes; what one throws is thrown here.
template <class Task>
void in_parallel(size_t count, const Task& task) {
  cv::parallel_for_(cv::Range(0, static_cast<int>(count)), [&](const cv::Range& which) {
    for (int k = which.start; k < which.end; ++k) task(static_cast<size_t>(k));
  });
}

}  // namespace verdigrid
