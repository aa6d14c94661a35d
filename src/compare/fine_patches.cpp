#include "compare/fine_patches.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/parallel.h"
#include "compare/features.h"

namespace verdigrid {

namespace {

constexpr int k_least_spacing_px = 4;
constexpr double k_chance_score = 0.4;
// Patches of the fit, working px: as many of them across a board of any size, within limits. What
// is printed on a board is finer than its parts, and a large patch sees parts nearly everywhere.
constexpr double k_across = 70;
constexpr int k_least_side_px = 9, k_most_side_px = 17;
constexpr double k_inside = 0.75;         // of the side: so far a patch lies within the outline
constexpr double k_contrast_sd_px = 2;    // of the neighbourhood that contrast is taken against
constexpr double k_noise_levels = 8;      // grey levels: contrast below is hardly any
constexpr double k_contrast_levels = 40;  // grey levels of a contrast of 1

double board_area(const Looking& l) {
  return l.first.board_px.empty() ? static_cast<double>(l.first.grey.total())
                                  : area(l.first.board_px);
}

// Small patches reach middling scores by chance: those hardly count.
double weight_of(double score) {
  const double sure = std::max(0.0, (score - k_chance_score) / (1 - k_chance_score));
  return sure * sure;
}

PatchOptions patches_of(const Looking& l, int side_px, int search_px,
                        const AlignmentOptions& options) {
  PatchOptions patches;
  patches.side_px = side_px;
  patches.search_px = search_px;
  patches.spacing_px = std::max(k_least_spacing_px, spacing_for(l, options.patches));
  return patches;
}

}  // namespace

Looking looking_at(const BoardPhoto& before, const BoardPhoto& after, double scale,
                   int long_side_px) {
  Looking l{working_photo(before, long_side_px), working_photo(after, long_side_px)};
  // The finer picture is made as coarse as the other.
  const double ratio = scale * l.second.scale / l.first.scale;
  if (ratio > 1.02) l.second = working_photo_at(after, l.second, l.second.scale / ratio);
  if (ratio < 0.98) l.first = working_photo_at(before, l.first, l.first.scale * ratio);
  return l;
}

int spacing_for(const Looking& l, double patches) {
  return static_cast<int>(std::sqrt(board_area(l) / patches));
}

std::vector<PatchMatch> look(const Looking& l, const PlaneMap& map, int search_px,
                             const AlignmentOptions& options, const Work& work) {
  return patch_matches(l.first.grey, l.second.grey, l.working(map), l.first.board_px,
                       patches_of(l, options.patch_px, search_px, options), work);
}

cv::Mat local_contrast(const cv::Mat& grey) {
  cv::Mat level, mean, spread, out;
  grey.convertTo(level, CV_32F);
  cv::GaussianBlur(level, mean, {}, k_contrast_sd_px);
  level -= mean;
  cv::GaussianBlur(level.mul(level), spread, {}, k_contrast_sd_px);
  spread += k_noise_levels * k_noise_levels;
  cv::sqrt(spread, spread);
  cv::divide(level, spread, level);
  level.convertTo(out, CV_8U, k_contrast_levels, 128);
  return out;
}

FitPictures fit_pictures(const Looking& l) {
  FitPictures out;
  in_parallel(2, [&](size_t k) {
    (k == 0 ? out.first : out.second) = local_contrast((k == 0 ? l.first : l.second).grey);
  });
  const int side = static_cast<int>(std::sqrt(board_area(l)) / k_across);
  out.side_px = std::clamp(side / 2 * 2 + 1, k_least_side_px, k_most_side_px);
  const cv::Mat board = region_picture(l.first.grey.size(), l.first.board_px);
  if (board.empty()) return out;
  cv::distanceTransform(board, out.inside, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  out.inside = out.inside >= k_inside * out.side_px;
  return out;
}

std::vector<PlanePair> fit_pairs(const Looking& l, const FitPictures& f, const PlaneMap& map,
                                 int search_px, const AlignmentOptions& options,
                                 const HeightShift& shift, const Work& work) {
  const PatchOptions patches = patches_of(l, f.side_px, search_px, options);
  std::vector<PlanePair> pairs;
  for (const PatchMatch& m :
       patch_matches(f.first, f.second, l.working(map), l.first.board_px, patches, work)) {
    if (m.score < options.least_score) continue;
    if (!f.inside.empty() && !f.inside.at<uchar>(cv::Point(m.first_px))) continue;
    const cv::Point2d p = photo_px(l.first, m.first_px);
    pairs.push_back({p, photo_px(l.second, m.second_px), weight_of(m.score), shift(p)});
  }
  return pairs;
}

}  // namespace verdigrid
