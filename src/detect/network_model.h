// The model file of a residue network as values, and the network's answer for one photo; used
// inside this folder.
#pragma once

#include <array>
#include <filesystem>
#include <map>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/files.h"
#include "detect/detector.h"

namespace verdigrid {

// Regions of P(any residue) >= low are flagged where their peak reaches `high` and they have at
// least `least_area` px of the network's map.
struct NetworkRule {
  double low = 0, high = 0;
  int least_area = 0;
};

struct NetworkModel {
  std::string model_id;
  int working_long_side_px = 0;
  double most_enlarged = 1;
  int multiple = 1;              // both sides of the network's picture are multiples of it
  std::vector<Residue> classes;  // of the output channels; the first is none
  std::map<Setting, NetworkRule> rules;
  // P(real) of a raw score, straight lines between rising (score, share) points; empty: the score.
  std::vector<cv::Point2d> calibration;
  Bytes network;  // ONNX
};

// Reads the model file and its weights. Errors as trained_detector.
NetworkModel load_network_model(const std::filesystem::path& model_json);

// Throws Error{bad_input} when the weights are no network that answers a small picture as the model
// says.
void check_runs(const NetworkModel& model);

// One CV_32FC1 map per class, at half the working size, summing to 1. `bgr` CV_8UC3.
std::vector<cv::Mat> class_shares(const NetworkModel& model, const cv::Mat& bgr);

double calibrated(const NetworkModel& model, double score);

}  // namespace verdigrid
