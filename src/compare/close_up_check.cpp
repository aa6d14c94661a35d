#include "compare/close_up_check.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/close_up_contrast.h"
#include "compare/close_up_search.h"
#include "compare/refine.h"
#include "compare/registration.h"

namespace verdigrid {

namespace {

constexpr double k_check_long_side_px = 640;  // patches are taken at this size, or the photo's own
constexpr double k_most_enlarged = 4;         // more only shows single px of the photo
constexpr double k_crop_margin = 0.3;         // round the expected place, share of its size
constexpr int k_least_px = 24;                // of the photo under the close-up
constexpr int k_least_check_px = 64;

cv::Matx33d moved_by(cv::Point2d by) { return {1, 0, by.x, 0, 1, by.y, 0, 0, 1}; }

cv::Rect place_box(const cv::Matx33d& h, cv::Size close_up, cv::Size photo) {
  cv::Rect2d box = bounding_box(frame_through(h, close_up));
  const double m = k_crop_margin * std::max(box.width, box.height);
  const cv::Point2d from = box.tl() - cv::Point2d(m, m), to = box.br() + cv::Point2d(m, m);
  if (!(std::abs(from.x) + std::abs(from.y) + std::abs(to.x) + std::abs(to.y) < 1e6)) return {};
  return cv::Rect(cv::Point(cvFloor(from.x), cvFloor(from.y)),
                  cv::Point(cvCeil(to.x), cvCeil(to.y))) &
         cv::Rect({}, photo);
}

}  // namespace

std::optional<CheckPictures> check_pictures(const cv::Mat& photo, const cv::Mat& close_up,
                                            const cv::Matx33d& view, double long_side_px) {
  const cv::Rect crop = place_box(view, close_up.size(), photo.size());
  if (crop.width < k_least_px || crop.height < k_least_px) return std::nullopt;
  const double scale = close_up_scale(view, close_up.size());
  CheckPictures out;
  out.scale =
      std::min(long_side_px * scale / std::max(close_up.cols, close_up.rows), k_most_enlarged);
  const double reduce = std::min(1.0, 1 / scale), close_scale = out.scale / scale;
  out.close = resized(resized(close_up, reduce), close_scale / reduce);
  out.photo = resized(photo(crop), out.scale);
  if (std::min({out.close.cols, out.close.rows, out.photo.cols, out.photo.rows}) < k_least_check_px)
    return std::nullopt;
  out.photo_from_whole = resized_by(out.scale) * moved_by(-cv::Point2d(crop.tl()));
  out.close_from_whole = resized_by(close_scale);
  return out;
}

double share_on_photo(const cv::Matx33d& h, cv::Size close_up, cv::Size photo) {
  const Ring frame = frame_through(h, close_up);
  const double whole = std::abs(signed_area(frame));
  const cv::Rect2d picture(-0.5, -0.5, photo.width, photo.height);
  return whole > 0 ? std::abs(signed_area(clipped(frame, picture))) / whole : 0;
}

std::optional<Checked> checked(const cv::Mat& photo, const cv::Mat& close_up,
                               const cv::Matx33d& guess, const CloseUpOptions& options,
                               const Work& work) {
  const double scale = close_up_scale(guess, close_up.size());
  if (!(scale >= 0.7 * options.least_scale && scale <= 1.4 * options.largest_scale) ||
      share_on_photo(guess, close_up.size(), photo.size()) < k_least_on_photo)
    return std::nullopt;
  const auto p = check_pictures(photo, close_up, guess, k_check_long_side_px);
  if (!p) return std::nullopt;
  Warp warp;
  warp.second_from_first = p->to_small(guess);
  const BoardPhoto first{p->close, {}}, second{p->photo, {}};
  const int whole = std::max({p->close.cols, p->close.rows, p->photo.cols, p->photo.rows});
  const Refined found =
      refined(first, second, working_photo(first, whole), working_photo(second, whole), warp, work);
  Checked out;
  out.strength = strength(found.agreement);
  out.agreement = found.agreement;
  out.photo_px_per_check_px = 1 / p->scale;
  out.photo_from_close_up = p->to_whole(found.warp.second_from_first);
  return out;
}

CloseUpPlace place_of(const Checked& found, cv::Size close_up, cv::Size photo) {
  CloseUpPlace p;
  p.close_up_size_px = close_up;
  p.photo_size_px = photo;
  p.photo_from_close_up = found.photo_from_close_up;
  p.outline_px = frame_through(found.photo_from_close_up, close_up);
  p.scale = close_up_scale(found.photo_from_close_up, close_up);
  const cv::Point2d middle{close_up.width / 2.0, close_up.height / 2.0};
  const cv::Point2d d = mapped(found.photo_from_close_up, middle + cv::Point2d(1, 0)) -
                        mapped(found.photo_from_close_up, middle - cv::Point2d(1, 0));
  p.turn_deg = -std::atan2(d.y, d.x) * 180 / CV_PI;
  p.agreeing_share = found.agreement.share;
  const double rms = found.agreement.rms_px * found.photo_px_per_check_px;
  const double half =
      1.96 / std::sqrt(2.0 * static_cast<double>(std::max<size_t>(1, found.agreement.agreeing)));
  p.rms_px = {rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  return p;
}

}  // namespace verdigrid
