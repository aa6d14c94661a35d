// Command lines about rendered boards, run in the test's own process.
#pragma once

#include <fmt/format.h>

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "tests/cli/run_here.h"
#include "tests/synthetic/camera.h"

namespace verdigrid::test {

inline Ran run_here(std::vector<std::string> arguments, const std::vector<std::string>& more) {
  arguments.insert(arguments.end(), more.begin(), more.end());
  return run_here(arguments);
}

// What straightens a photo of a board of this size without looking for its outline.
inline std::vector<std::string> straight_words(cv::Size2d board_mm, const synthetic::View& view) {
  const double w = board_mm.width, h = board_mm.height;
  std::vector<std::string> words{"--board-mm", fmt::format("{:.1f}x{:.1f}", w, h), "--corners"};
  for (const cv::Point2d corner :
       {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)}) {
    const cv::Point2d p = photo_px_of(view, corner);
    words.push_back(fmt::format("{:.1f},{:.1f}", p.x, p.y));
  }
  return words;
}

// The words, and the detector that needs no weights.
inline std::vector<std::string> first_method(std::vector<std::string> words) {
  words.insert(words.end(), {"--detector", "first-method"});
  return words;
}

}  // namespace verdigrid::test
