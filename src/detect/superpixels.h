// Superpixels: small patches of even colour that keep to edges, the units in which the guided look
// learns and answers.
//
// R. Achanta and others, "SLIC superpixels compared to state-of-the-art superpixel methods", IEEE
// TPAMI 34(11), 2012, with each pixel choosing among the nine nearest grid centres. Deterministic
// on any number of threads. Cost: about 0.2 s for 1.5 megapixels on two cores.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace verdigrid {

struct SuperpixelOptions {
  double spacing_px = 7;   // of the grid they start from; also their usual width
  double compactness = 6;  // Lab units that count as much as one spacing
  int rounds = 4;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

struct Superpixels {
  cv::Mat of_px;                             // CV_32SC1: index 0.., -1 off the board
  std::vector<int> area_px;                  // of each
  std::vector<cv::Point2f> centre_px;        // of each
  std::vector<std::vector<int>> neighbours;  // rising, each pair in both lists

  int count() const { return static_cast<int>(area_px.size()); }
};

// `lab` CV_32FC3; `board` CV_8UC1 of the same size, 255 on the board.
Superpixels superpixels_of(const cv::Mat& lab, const cv::Mat& board,
                           const SuperpixelOptions& options = {});

}  // namespace verdigrid
