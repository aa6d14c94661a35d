// The trained detector: a small network behind the same interface as the first method, read from a
// model file beside its weights (format "verdigrid-residue-network", version 1; models/README.md).
//
// Cost: seconds for a photo of any size, since the network always sees the photo at one working
// size. May be called from any thread.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "detect/detector.h"

namespace verdigrid {

// `model_json` names the weights beside it. Throws Error{bad_input} when either is missing, damaged
// or not what this program can run, Error{storage} for a newer version.
std::unique_ptr<Detector> trained_detector(const std::filesystem::path& model_json);

struct ChosenDetector {
  std::unique_ptr<Detector> detector;
  std::string remark;  // why it is not the trained one, one sentence; empty when it is
};

// The trained detector, or the first method when that cannot be used.
ChosenDetector chosen_detector(const std::filesystem::path& model_json);

}  // namespace verdigrid
