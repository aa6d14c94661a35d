// What the benchmarks share: the median time of a piece of work, and a main that says what went
// wrong.
#pragma once

#include <algorithm>
#include <chrono>
#include <iostream>
#include <vector>

#include "base/error.h"

namespace verdigrid {

// The middle one, the upper of two; `values` is not empty.
inline double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<long>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

template <class Work>
double ms_of(const Work& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start)
      .count();
}

template <class Work>
double median_ms(int runs, const Work& work) {
  std::vector<double> ms;
  for (int i = 0; i < runs; ++i) ms.push_back(ms_of(work));
  return median(std::move(ms));
}

// The exit code of `run`; a fault is one sentence on standard error.
template <class Run>
int bench_main(const Run& run) {
  try {
    return run();
  } catch (const Error& e) {
    std::cerr << e.what() << '\n';
    return e.exit_code();
  } catch (const std::exception& e) {
    std::cerr << e.what() << '\n';
    return 4;
  }
}

}  // namespace verdigrid
