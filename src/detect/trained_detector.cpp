#include "detect/trained_detector.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/network_model.h"
#include "detect/network_regions.h"
#include "detect/regions.h"

namespace verdigrid {
namespace {

// Class and share of the likeliest residue at each px of the network's map.
struct Likeliest {
  cv::Mat labels;   // CV_8UC1
  cv::Mat residue;  // CV_32FC1, P(any residue)
};

Likeliest likeliest_of(const NetworkModel& model, const std::vector<cv::Mat>& shares) {
  Likeliest l{cv::Mat(shares[0].size(), CV_8UC1), 1 - shares[0]};
  for (int y = 0; y < l.labels.rows; ++y)
    for (int x = 0; x < l.labels.cols; ++x) {
      std::size_t best = 1;
      for (std::size_t c = 2; c < shares.size(); ++c)
        if (shares[c].at<float>(y, x) > shares[best].at<float>(y, x)) best = c;
      l.labels.at<uchar>(y, x) = static_cast<uchar>(model.classes[best]);
    }
  return l;
}

// Takes what lies outside the outline away, at the size of the photo.
void keep_board(ResidueMap& map, const Rectification& r) {
  if (r.outline_is_frame || r.outline_px.empty()) return;
  const cv::Mat board = picture_of({r.outline_px}, map.labels.size(), 1);
  map.labels.setTo(0, board == 0);
  map.confidence.setTo(0, board == 0);
}

class TrainedDetector final : public Detector {
 public:
  explicit TrainedDetector(NetworkModel model) : model_(std::move(model)) {}

  std::string id() const override { return model_.model_id; }

  ResidueMap residue_map(const Photo& photo, const Rectification& rectification,
                         const DetectorOptions& options, const Work& work) const override {
    work.check();
    const auto shares = class_shares(model_, photo.bgr);
    work.check();
    work.report(0.9);
    auto found = likeliest_of(model_, shares);
    if (model_.photo_level) found.residue = above_photo_level(found.residue, *model_.photo_level);
    const auto kept = kept_regions(model_, options.setting, found.residue, shares);
    found.labels.setTo(0, kept == 0);
    cv::Mat confidence(found.residue.size(), CV_8UC1);
    for (int y = 0; y < confidence.rows; ++y)
      for (int x = 0; x < confidence.cols; ++x)
        confidence.at<uchar>(y, x) = cv::saturate_cast<uchar>(
            255 * calibrated(model_, static_cast<double>(found.residue.at<float>(y, x))));
    ResidueMap map;
    cv::resize(found.labels, map.labels, photo.size_px(), 0, 0, cv::INTER_NEAREST);
    cv::resize(confidence, map.confidence, photo.size_px(), 0, 0, cv::INTER_LINEAR);
    keep_board(map, rectification);
    work.report(1);
    return map;
  }

 private:
  NetworkModel model_;
};

}  // namespace

std::unique_ptr<Detector> trained_detector(const std::filesystem::path& model_json) {
  auto model = load_network_model(model_json);
  check_runs(model);
  return std::make_unique<TrainedDetector>(std::move(model));
}

ChosenDetector chosen_detector(const std::filesystem::path& model_json) {
  try {
    return {trained_detector(model_json), {}};
  } catch (const Error& e) {
    return {first_method(), std::string("The first method is used, since the trained detector "
                                        "cannot be: ") +
                                e.what()};
  }
}

}  // namespace verdigrid
