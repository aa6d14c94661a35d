#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/fine_patches.h"
#include "compare/join_parts.h"
#include "compare/patches.h"
#include "compare/point_map.h"

namespace verdigrid {

namespace {

constexpr int k_look_long_side_px = 2400;  // overlaps are looked at at this size at most
constexpr int k_side_px = 17, k_search_px = 8, k_least_spacing_px = 8;  // of that size
constexpr double k_patches = 2500;
constexpr double k_fits_px = 1;  // of that size: of a patch that fits
constexpr double k_sure_score = 0.5;
constexpr size_t k_least_patches = 24;

// The part of the joined picture that both photos show, as a box; empty when there is none.
cv::Rect overlap_box(const Photo& a, const Photo& b, const JoinedPhoto& pa, const JoinedPhoto& pb,
                     cv::Size size) {
  constexpr int k_steps = 60;
  const auto shows = [](const Photo& photo, const JoinedPhoto& placed, cv::Point2d p) {
    const cv::Point2d q = placed.photo_from_joined(p);
    return q.x >= 0 && q.y >= 0 && q.x < photo.bgr.cols && q.y < photo.bgr.rows;
  };
  cv::Rect box;
  for (int y = 0; y <= k_steps; ++y)
    for (int x = 0; x <= k_steps; ++x) {
      const cv::Point p((size.width - 1) * x / k_steps, (size.height - 1) * y / k_steps);
      if (!shows(a, pa, p) || !shows(b, pb, p)) continue;
      const cv::Rect one(p, cv::Size(1, 1));
      box = box.empty() ? one : box | one;
    }
  return box;
}

cv::Mat grey_in(const Photo& photo, const JoinedPhoto& placed, cv::Rect box, double scale) {
  const cv::Size size(std::max(1, cvRound(box.width * scale)),
                      std::max(1, cvRound(box.height * scale)));
  const cv::Mat seen = seen_through(
      photo.bgr, size,
      [&](cv::Point2d p) {
        return placed.photo_from_joined((p + cv::Point2d(0.5, 0.5)) * (1 / scale) -
                                        cv::Point2d(0.5, 0.5) + cv::Point2d(box.tl()));
      },
      cv::INTER_LINEAR, cv::Scalar::all(0));
  cv::Mat grey;
  cv::cvtColor(seen, grey, cv::COLOR_BGR2GRAY);
  return grey;
}

}  // namespace

std::vector<JoinLook> join_looks(const std::vector<Photo>& photos,
                                 const std::vector<JoinedPhoto>& placed, cv::Size size,
                                 const Work& work) {
  std::vector<JoinLook> looks;
  for (size_t a = 0; a < photos.size(); ++a)
    for (size_t b = a + 1; b < photos.size(); ++b) {
      work.check();
      const cv::Rect box = overlap_box(photos[a], photos[b], placed[a], placed[b], size);
      if (box.empty()) continue;
      const double scale =
          std::min(1.0, static_cast<double>(k_look_long_side_px) / std::max(box.width, box.height));
      const cv::Mat in_a = local_contrast(grey_in(photos[a], placed[a], box, scale)),
                    in_b = local_contrast(grey_in(photos[b], placed[b], box, scale));
      PatchOptions patches;
      patches.side_px = k_side_px;
      patches.search_px = k_search_px;
      patches.spacing_px =
          std::max(k_least_spacing_px,
                   static_cast<int>(std::sqrt(static_cast<double>(in_a.total()) / k_patches)));
      const auto matches = patch_matches(
          in_a, in_b, [](cv::Point2d p) { return p; }, {}, patches, work);
      JoinLook look{a, b, 0, 0};
      size_t fits = 0;
      for (const PatchMatch& m : matches) {
        if (m.score < k_sure_score) continue;
        ++look.patches;
        fits += cv::norm(m.offset_px) <= k_fits_px;
      }
      if (look.patches < k_least_patches) continue;
      look.fitting_share = static_cast<double>(fits) / static_cast<double>(look.patches);
      looks.push_back(look);
    }
  return looks;
}

}  // namespace verdigrid
