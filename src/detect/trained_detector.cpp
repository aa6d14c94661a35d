#include "detect/trained_detector.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/network_model.h"
#include "detect/network_regions.h"
#include "detect/regions.h"

namespace verdigrid {
namespace {

// CV_8UC1 at the size of the photo, 0 outside the outline; empty where the board is all there is.
cv::Mat board_of(const Rectification& r, cv::Size photo_px) {
  if (r.outline_is_frame || r.outline_px.empty()) return {};
  return picture_of({r.outline_px}, photo_px, 1);
}

// Takes what lies outside the outline out of a map of shares or labels, at any size.
void keep_board(cv::Mat& map, const cv::Mat& board) {
  if (board.empty()) return;
  cv::Mat here = board;
  if (map.size() != board.size()) cv::resize(board, here, map.size(), 0, 0, cv::INTER_NEAREST);
  map.setTo(0, here == 0);
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
    const cv::Mat board = board_of(rectification, photo.size_px());
    cv::Mat residue = 1 - shares[0];
    if (model_.photo_level) residue = above_photo_level(residue, *model_.photo_level);
    keep_board(residue, board);  // before the regions, so that the desk speaks for no region
    cv::Mat labels = likeliest_residues(model_, shares);
    labels.setTo(0, kept_regions(model_, options.setting, residue, shares) == 0);
    cv::Mat confidence(residue.size(), CV_8UC1);
    for (int y = 0; y < confidence.rows; ++y)
      for (int x = 0; x < confidence.cols; ++x)
        confidence.at<uchar>(y, x) = cv::saturate_cast<uchar>(
            255 * calibrated(model_, static_cast<double>(residue.at<float>(y, x))));
    ResidueMap map;
    cv::resize(labels, map.labels, photo.size_px(), 0, 0, cv::INTER_NEAREST);
    cv::resize(confidence, map.confidence, photo.size_px(), 0, 0, cv::INTER_LINEAR);
    keep_board(map.labels, board);
    keep_board(map.confidence, board);
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
