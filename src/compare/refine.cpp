#include "compare/refine.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace verdigrid {

namespace {

constexpr double k_margin_share = 0.03;  // around the board, so that edges help
constexpr double k_fit_score = 0.5;      // patches below this do not pull the warp
constexpr double k_least_scale = 0.02;
// About so many patches over the board tell eight parameters and a bend, and whether it agrees.
constexpr double k_fit_patches = 700, k_check_patches = 1500;
// The cubic must win this share of patches to be worth its freedom.
constexpr double k_bend_gain = 1.05;

cv::Rect board_cut(const BoardPhoto& photo) {
  const cv::Rect whole(cv::Point(), photo.bgr.size());
  if (photo.board_px.empty()) return whole;
  const cv::Rect2d box = bounding_box(photo.board_px.outer);
  const double m = k_margin_share * std::max(box.width, box.height);
  const auto floor_int = [](double v) { return cv::saturate_cast<int>(std::floor(v)); };
  const cv::Rect cut(
      cv::Point(floor_int(box.x - m), floor_int(box.y - m)),
      cv::Point(floor_int(box.x + box.width + m), floor_int(box.y + box.height + m)));
  const cv::Rect inside = cut & whole;
  return inside.width < 32 || inside.height < 32 ? whole : inside;
}

// Halved as long as `scale` asks for it; `scale` is then what is left to do.
cv::Mat halved(const cv::Mat& picture, double& scale) {
  cv::Mat small = picture;
  for (; scale <= 0.5 && std::min(small.cols, small.rows) > 1; scale *= 2) {
    const cv::Rect even(0, 0, small.cols / 2 * 2, small.rows / 2 * 2);
    cv::Mat half;
    cv::resize(small(even), half, even.size() / 2, 0, 0, cv::INTER_AREA);
    small = half;
  }
  return small;
}

cv::Matx33d working_from_photo(const WorkingPhoto& w) {
  const double shift = 0.5 * w.scale - 0.5;
  return {w.scale, 0,       shift - w.scale * w.corner_px.x,
          0,       w.scale, shift - w.scale * w.corner_px.y,
          0,       0,       1};
}

std::vector<PointPair> fit_pairs(const std::vector<PatchMatch>& matches) {
  std::vector<PointPair> pairs;
  for (const PatchMatch& m : matches)
    if (m.score >= k_fit_score) pairs.push_back({m.first_px, m.second_px, m.score});
  return pairs;
}

size_t near(const std::vector<PointPair>& pairs, const Warp& warp, double tolerance) {
  return static_cast<size_t>(std::count_if(pairs.begin(), pairs.end(), [&](const PointPair& p) {
    return cv::norm(warp(p.first_px) - p.second_px) <= tolerance;
  }));
}

void set_frame(Warp& warp, cv::Size size) {
  if (warp.is_bent()) return;
  warp.centre_px = {size.width / 2.0, size.height / 2.0};
  warp.scale_px = std::max(size.width, size.height) / 2.0;
}

}  // namespace

WorkingPhoto working_photo(const BoardPhoto& photo, int long_side_px) {
  const cv::Rect cut = board_cut(photo);
  WorkingPhoto like;
  like.corner_px = cut.tl();
  return working_photo_at(
      photo, like,
      std::min(1.0, static_cast<double>(long_side_px) / std::max(cut.width, cut.height)));
}

WorkingPhoto working_photo_at(const BoardPhoto& photo, const WorkingPhoto& like, double scale) {
  WorkingPhoto out;
  out.corner_px = like.corner_px;
  out.scale = std::max(scale, k_least_scale);
  const cv::Rect cut = board_cut(photo);
  double rest = out.scale;
  cv::Mat grey;
  cv::cvtColor(halved(photo.bgr(cut), rest), grey, cv::COLOR_BGR2GRAY);
  out.grey = resized_photo(grey, rest);
  out.board_px = mapped(working_from_photo(out), photo.board_px);
  return out;
}

WorkingPhoto smaller_photo(const WorkingPhoto& work, double by) {
  if (by >= 1) return work;
  WorkingPhoto out = work;
  out.scale *= by;
  out.grey = resized_photo(work.grey, by);
  const double shift = 0.5 * by - 0.5;
  out.board_px = mapped(cv::Matx33d(by, 0, shift, 0, by, shift, 0, 0, 1), work.board_px);
  return out;
}

cv::Mat resized_photo(const cv::Mat& picture, double scale) {
  const cv::Mat small = halved(picture, scale);
  if (scale == 1) return small;
  cv::Mat out;
  cv::resize(small, out, cv::Size(), scale, scale, scale < 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
  return out;
}

cv::Point2d working_px(const WorkingPhoto& w, cv::Point2d p) {
  return (p - w.corner_px + cv::Point2d(0.5, 0.5)) * w.scale - cv::Point2d(0.5, 0.5);
}

cv::Point2d photo_px(const WorkingPhoto& w, cv::Point2d p) {
  return (p + cv::Point2d(0.5, 0.5)) * (1 / w.scale) - cv::Point2d(0.5, 0.5) + w.corner_px;
}

Warp to_working(const Warp& warp, const WorkingPhoto& first, const WorkingPhoto& second) {
  const cv::Matx33d a = working_from_photo(first), b = working_from_photo(second);
  Warp out = warp;
  out.second_from_first = b * warp.second_from_first * a.inv();
  if (out.second_from_first(2, 2) != 0)
    out.second_from_first = out.second_from_first * (1 / out.second_from_first(2, 2));
  out.centre_px = mapped(a, warp.centre_px);
  out.scale_px = warp.scale_px * first.scale;
  for (cv::Point2d& bend : out.bend) bend *= second.scale;
  return out;
}

Warp from_working(const Warp& warp, const WorkingPhoto& first, const WorkingPhoto& second) {
  const cv::Matx33d a = working_from_photo(first), b = working_from_photo(second);
  Warp out = warp;
  out.second_from_first = b.inv() * warp.second_from_first * a;
  if (out.second_from_first(2, 2) != 0)
    out.second_from_first = out.second_from_first * (1 / out.second_from_first(2, 2));
  out.centre_px = mapped(a.inv(), warp.centre_px);
  out.scale_px = warp.scale_px / first.scale;
  for (cv::Point2d& bend : out.bend) bend *= 1 / second.scale;
  return out;
}

Refined refined(const BoardPhoto& first, const BoardPhoto& second, const WorkingPhoto& first_work,
                const WorkingPhoto& second_work, const Warp& coarse, const Work& work) {
  Refined out{coarse, {}, {}, first_work, second_work};
  // Correlation wants both at one scale: the finer picture is made coarser.
  Warp warp = to_working(coarse, first_work, second_work);
  const cv::Point2d middle{first_work.grey.cols / 2.0, first_work.grey.rows / 2.0};
  const double s = std::sqrt(local_area_scale(warp.second_from_first, middle));
  if (s > 1.15)
    out.second = working_photo_at(second, second_work, second_work.scale / s);
  else if (s < 0.87)
    out.first = working_photo_at(first, first_work, first_work.scale * s);
  warp = to_working(coarse, out.first, out.second);
  set_frame(warp, out.first.grey.size());
  const double room = out.first.board_px.empty() ? static_cast<double>(out.first.grey.total())
                                                 : area(out.first.board_px);
  const auto look = [&](int search, double patches) {
    PatchOptions options;
    options.search_px = search;
    options.spacing_px = std::max(options.spacing_px, static_cast<int>(std::sqrt(room / patches)));
    return patch_matches(out.first.grey, out.second.grey, warp, out.first.board_px, options, work);
  };
  std::vector<PointPair> pairs = fit_pairs(look(14, k_fit_patches));
  warp = fitted_warp(pairs, warp, 10, Bends::no);
  warp = fitted_warp(pairs, warp, 6, Bends::no);
  pairs = fit_pairs(look(10, k_fit_patches));
  const Warp plain = fitted_warp(pairs, warp, 4, Bends::no);
  const Warp bent = fitted_warp(pairs, plain, 5, Bends::yes);
  const bool is_better = static_cast<double>(near(pairs, bent, 1.5)) >
                         k_bend_gain * static_cast<double>(near(pairs, plain, 1.5));
  warp = is_better ? bent : plain;
  pairs = fit_pairs(look(8, k_fit_patches));
  warp = fitted_warp(pairs, warp, 3, is_better ? Bends::yes : Bends::no);
  out.matches = look(12, k_check_patches);
  out.agreement = agreement_of(out.matches, k_agree_px, k_agree_score);
  out.warp = from_working(warp, out.first, out.second);
  return out;
}

}  // namespace verdigrid
