#include "detect/places.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace verdigrid {
namespace {

constexpr double k_least_crop_share = 0.06;
// A second place of the same class and colour counts this much less.
constexpr double k_alike_discount = 0.6;
constexpr double k_alike_cie76 = 25;

// What it does to the board, worst 1. Order by common practice, figures our own.
constexpr std::array<double, k_residue_count> k_badness{0, 0.9, 0.7, 0.7, 0.5, 0.9, 1.0, 0.6};

double likeness(const Finding& a, const Lab& lab_a, const Finding& b, const Lab& lab_b) {
  if (a.residue != b.residue) return 0;
  return std::max(0.0, 1 - cie76(lab_a, lab_b) / k_alike_cie76);
}

bool shows(const cv::Rect& crop, const Finding& f) {
  return crop.contains(cv::Point(cvRound(f.centre_px.x), cvRound(f.centre_px.y)));
}

}  // namespace

double worth_of(Residue residue, double confidence, double share_of_board) {
  const double size = std::pow(std::clamp(share_of_board, 1e-6, 1.0), 0.3);
  return k_badness[static_cast<std::size_t>(residue)] * confidence * size;
}

cv::Rect crop_around(const cv::Rect& box_px, cv::Size photo_px) {
  const int longer = std::max(photo_px.width, photo_px.height);
  const auto side = [&](int v) {
    return std::max({2 * v, cvRound(k_least_crop_share * longer), 16});
  };
  int w = side(box_px.width), h = side(box_px.height);
  // Not too slender: a crop is to be looked at.
  w = std::min(std::max(w, h / 2), photo_px.width);
  h = std::min(std::max(h, w / 2), photo_px.height);
  const int x = std::clamp(box_px.x + box_px.width / 2 - w / 2, 0, photo_px.width - w);
  const int y = std::clamp(box_px.y + box_px.height / 2 - h / 2, 0, photo_px.height - h);
  return {x, y, w, h};
}

std::vector<Place> places_of(const std::vector<Finding>& findings,
                             const std::vector<double>& worths, const std::vector<Lab>& labs,
                             cv::Size photo_px, int at_most) {
  std::vector<Place> places;
  std::vector<double> left = worths;
  std::vector<char> is_shown(findings.size(), 0);
  while (static_cast<int>(places.size()) < at_most) {
    std::size_t best = findings.size();
    for (std::size_t i = 0; i < findings.size(); ++i)
      if (!is_shown[i] && (best == findings.size() || left[i] > left[best])) best = i;
    if (best == findings.size()) break;
    Place place{static_cast<int>(places.size()) + 1,
                crop_around(findings[best].box_px, photo_px),
                {},
                left[best]};
    for (std::size_t i = 0; i < findings.size(); ++i) {
      if (i == best || (!is_shown[i] && shows(place.crop_px, findings[i]))) {
        is_shown[i] = 1;
        place.findings.push_back(findings[i].id);
      } else {
        left[i] *=
            1 - k_alike_discount * likeness(findings[i], labs[i], findings[best], labs[best]);
      }
    }
    places.push_back(std::move(place));
  }
  return places;
}

}  // namespace verdigrid
