// First method: patches that depart from the board around them toward the colour of copper salts,
// judged by how varied, matt and irregular they are. Every limit below is our own rule unless it
// names a source; they were set on photos of many boards, not fitted.
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/copper_salt.h"
#include "detect/detector.h"
#include "detect/patch.h"
#include "detect/working_image.h"

namespace verdigrid {
namespace {

constexpr double k_least_patch_mm2 = 0.05;
constexpr double k_company_of_diagonal = 0.04;
constexpr double k_strong_score = 0.7;

double ramp(double v, double from, double to) {
  return std::clamp((v - from) / (to - from), 0., 1.);
}

// Score from which a patch is flagged.
double limit_of(Setting s) {
  switch (s) {
    case Setting::show_less:
      return 0.85;
    case Setting::normal:
      return 0.65;
    case Setting::show_more:
      return 0.25;
  }
  return 1;
}

// Share of patches with that score that were residue, pooled over photos of damaged and undamaged
// boards (149 patches with a score of 0.5 or more).
double confidence_of(double score) {
  constexpr std::array<std::pair<double, double>, 5> k_curve{
      {{0, 0}, {0.5, 0.06}, {0.75, 0.2}, {0.9, 0.45}, {1, 0.65}}};
  for (std::size_t i = 1; i < k_curve.size(); ++i) {
    const auto [from, low] = k_curve[i - 1];
    const auto [to, high] = k_curve[i];
    if (score <= to) return low + (high - low) * (score - from) / (to - from);
  }
  return k_curve.back().second;
}

long least_patch_px(const WorkingImage& image) {
  if (!image.px_per_mm) return 12;
  const double by_mm = k_least_patch_mm2 * *image.px_per_mm * *image.px_per_mm;
  return std::max(8L, std::lround(by_mm));
}

void paint(ResidueMap& map, const PatchMap& patches, const Patch& p, Residue residue, double score,
           double limit) {
  for (int y = p.box_px.y; y < p.box_px.br().y; ++y) {
    const auto* ids = patches.ids.ptr<int>(y);
    for (int x = p.box_px.x; x < p.box_px.br().x; ++x) {
      if (ids[x] != p.id) continue;
      map.confidence.at<uchar>(y, x) = cv::saturate_cast<uchar>(255 * confidence_of(score));
      if (score >= limit) map.labels.at<uchar>(y, x) = static_cast<uchar>(residue);
    }
  }
}

double gap_px(const cv::Rect& a, const cv::Rect& b) {
  const int dx = std::max({0, a.x - b.br().x, b.x - a.br().x});
  const int dy = std::max({0, a.y - b.br().y, b.y - a.br().y});
  return std::hypot(dx, dy);
}

// Own scores, raised where a patch keeps company with a strong one of at least its own size.
std::vector<double> scores_of(const std::vector<Patch>& patches, const WorkingImage& image) {
  std::vector<double> own;
  for (const auto& p : patches) own.push_back(copper_salt_score(p));
  std::vector<double> scores = own;
  const double reach = k_company_of_diagonal * image.diagonal_px;
  for (std::size_t i = 0; i < patches.size(); ++i) {
    double near = 0;
    for (std::size_t j = 0; j < patches.size(); ++j) {
      if (j == i || own[j] < k_strong_score || patches[j].area_px < patches[i].area_px) continue;
      const double gap = gap_px(patches[i].box_px, patches[j].box_px);
      near = std::max(near, own[j] * ramp(gap, reach, reach / 2));
    }
    if (near > 0) scores[i] = std::max(own[i], near * company_score(patches[i]));
  }
  return scores;
}

class FirstMethod final : public Detector {
 public:
  std::string id() const override { return "first-method 1"; }

  ResidueMap residue_map(const Photo& photo, const Rectification& rectification,
                         const DetectorOptions& options, const Work& work) const override {
    const auto image = working_image(photo, rectification);
    work.check();
    work.report(0.5);
    cv::Mat smooth;
    cv::GaussianBlur(image.lab, smooth, {5, 5}, 1.0);
    ResidueMap map{cv::Mat(smooth.size(), CV_8UC1, cv::Scalar(0)),
                   cv::Mat(smooth.size(), CV_8UC1, cv::Scalar(0))};
    const auto suspects = copper_salt_suspects(image, smooth);
    const auto patches =
        patches_of(image, smooth, OwnColours(image), suspects, least_patch_px(image));
    const double limit = limit_of(options.setting);
    const auto scores = scores_of(patches.patches, image);
    for (std::size_t i = 0; i < scores.size(); ++i)
      paint(map, patches, patches.patches[i], Residue::copper_salt, scores[i], limit);
    work.check();
    map.labels = at_photo_size(map.labels, image);
    map.confidence = at_photo_size(map.confidence, image);
    work.report(1);
    return map;
  }
};

}  // namespace

std::unique_ptr<Detector> first_method() { return std::make_unique<FirstMethod>(); }

}  // namespace verdigrid
