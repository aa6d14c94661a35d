// The model file of a residue network as values, and the network's answer for one photo; used
// inside this folder.
#pragma once

#include <array>
#include <filesystem>
#include <map>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/files.h"
#include "detect/detector.h"

namespace verdigrid {

// Regions of P(any residue) >= low are flagged where their peak reaches `high` and they have at
// least `least_area` px of the network's map; all of them only where one of them, of at least
// `seed_area` px, reaches `seed`, since residues of one leak come together.
struct NetworkRule {
  double low = 0, high = 0;
  int least_area = 0;
  double seed = 0;
  int seed_area = 0;
};

// What the network sees all over a photo is the board or the desk, not a residue: the `quantile` of
// the log odds of P(any residue), as far as it lies above -slack, is taken off everywhere.
struct PhotoLevel {
  double quantile = 0.8;  // 0..1
  double slack = 4;       // log odds
};

// A region that is this much (0..1 of its class votes) of one class and larger than `most_share` of
// the photo is no deposit of that class.
struct LargestOfClass {
  Residue residue = Residue::none;
  double purity = 1;
  double most_share = 1;
};

// Which class a flagged px gets: the likeliest residue of the shares blurred by `blur_px` (sigma,
// px of the network's map), each times its factor.
struct ClassChoice {
  double blur_px = 0;
  std::vector<double> factors;  // as `classes`; the first counts for nothing
};

struct NetworkModel {
  std::string model_id;
  int working_long_side_px = 0;
  double most_enlarged = 1;
  int multiple = 1;              // both sides of the network's picture are multiples of it
  std::vector<Residue> classes;  // of the output channels; the first is none
  std::map<Setting, NetworkRule> rules;
  std::optional<PhotoLevel> photo_level;
  std::vector<LargestOfClass> largest;
  double span = 0;  // log odds: px further below their region's peak are not flagged; 0: no limit
  ClassChoice class_choice;
  // P(real) of a raw score, straight lines between rising (score, share) points; empty: the score.
  std::vector<cv::Point2d> calibration;
  Bytes network;  // ONNX, its weights at full precision
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
