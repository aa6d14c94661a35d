// A photo's review as training data, when a person asks for it: a label picture and a description
// with photo hash, regions, answers, classes, features and model (format "verdigrid-training",
// version 1, schema assets/schema/training.schema.json). models/train reads folders of them.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "detect/review.h"

namespace verdigrid {

// A label that says nothing about a pixel.
inline constexpr int k_unanswered = 255;

// CV_8UC1 of the review's photo size, in the order of the answers and edits: residue ids where a
// person said the class, 0 where a person said there is none, k_unanswered everywhere else (also
// where residue was said without its class, or not sure). Edits that change no region (split and
// merge) and those that leave the class as the machine had it (accept) add nothing.
cv::Mat training_labels(const Review& review);

// The description beside the label picture. `photo_file` and `labels_file` are names in the same
// folder, `labels_sha256` that of the label picture's bytes.
std::string training_json(const Review& review, const std::string& photo_file,
                          const std::string& labels_file, const std::string& labels_sha256);

}  // namespace verdigrid
