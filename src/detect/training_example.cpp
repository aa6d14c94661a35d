#include "detect/training_example.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "detect/regions.h"

namespace verdigrid {
namespace {

// What a person said of a whole region, or k_unanswered.
int label_of(const Answer& a) {
  if (a.kind == AnswerKind::no) return static_cast<int>(Residue::none);
  if (a.kind == AnswerKind::yes && a.residue && *a.residue != Residue::unsure)
    return static_cast<int>(*a.residue);
  return k_unanswered;
}

void paint(cv::Mat& labels, const std::vector<Polygon>& region_px, int label) {
  labels.setTo(label, picture_of(region_px, labels.size(), 1));
}

void paint(cv::Mat& labels, const MapEdit& e) {
  const bool has_class = e.residue && *e.residue != Residue::unsure;
  if (e.kind == EditKind::dismiss || e.kind == EditKind::erase)
    paint(labels, e.region_px, static_cast<int>(Residue::none));
  else if (e.kind == EditKind::draw)
    paint(labels, e.region_px, has_class ? static_cast<int>(*e.residue) : k_unanswered);
  else if (e.kind == EditKind::relabel && has_class)  // only what was flagged there has the class
    labels.setTo(static_cast<int>(*e.residue), picture_of(e.region_px, labels.size(), 1) &
                                                   (labels != static_cast<int>(Residue::none)) &
                                                   (labels != k_unanswered));
}

}  // namespace

cv::Mat training_labels(const Review& review) {
  cv::Mat labels(review.photo_size_px, CV_8UC1, cv::Scalar(k_unanswered));
  auto edit = review.edits.begin();
  const auto edits_until = [&](std::size_t answers) {
    for (; edit != review.edits.end() && edit->after_answers <= static_cast<int>(answers); ++edit)
      paint(labels, *edit);
  };
  for (std::size_t i = 0; i < review.answers.size(); ++i) {
    edits_until(i);
    const Answer& a = review.answers[i].answer;
    paint(labels, a.region_px, label_of(a));
  }
  edits_until(review.answers.size());
  for (; edit != review.edits.end(); ++edit) paint(labels, *edit);  // its answers were taken back
  return labels;
}

std::string training_json(const Review& review, const std::string& photo_file,
                          const std::string& labels_file, const std::string& labels_sha256) {
  const auto from = nlohmann::ordered_json::parse(review_json(review));
  nlohmann::ordered_json j;
  j["format"] = "verdigrid-training";
  j["version"] = 1;
  j["photo"] = from["photo"];
  j["photo"]["file"] = photo_file;
  j["labels"] = {{"file", labels_file}, {"sha256", labels_sha256}};
  for (const char* key : {"detector", "features_version", "answers", "edits"}) j[key] = from[key];
  return j.dump(1) + "\n";
}

}  // namespace verdigrid
