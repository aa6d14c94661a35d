// A small forest of extremely randomised trees with weighted samples and several classes: learns
// from a handful of answers in some ten milliseconds.
//
// P. Geurts, D. Ernst, L. Wehenkel, "Extremely randomized trees", Machine Learning 63(1), 2006,
// 3-42. OpenCV's trees take no sample weights, hence our own. Deterministic for one seed on any
// number of threads.
#pragma once

#include <array>
#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "detect/residue.h"

namespace verdigrid {

// Shares of the residue ids (index 0 = none), summing to 1.
using ClassShares = std::array<float, k_residue_count>;

struct Sample {
  std::vector<float> features;
  int label = 0;     // residue id
  float weight = 1;  // above 0
};

struct ForestOptions {
  int trees = 96;
  int depth = 12;
  int tries = 10;             // features tried at a node, one random cut each
  float least_weight = 1.5F;  // of samples in a node that is cut further
  float prior_weight = 0.3F;  // of `prior` in a leaf
  ClassShares prior{1, 0, 0, 0, 0, 0, 0, 0};
  std::uint64_t seed = 1;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

class Forest {
 public:
  // All samples have the same number of features; at least one sample.
  Forest(const std::vector<Sample>& samples, const ForestOptions& options);

  // `features` CV_32FC1, one row each.
  std::vector<ClassShares> shares(const cv::Mat& features) const;

 private:
  struct Node {
    int feature = -1;  // -1: leaf
    float cut = 0;     // left when below
    int left = 0, right = 0;
    ClassShares shares{};
  };
  using Tree = std::vector<Node>;
  friend class TreeGrower;

  std::vector<Tree> trees_;
};

}  // namespace verdigrid
