#include "compare/change_map.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/error.h"
#include "compare/point_map.h"

namespace verdigrid {

namespace {

constexpr double k_mm_of_long_side = 1.0 / 150;
constexpr double k_tall_reach = 0.35;  // of a patch's side, each way: what shares its shift

cv::Mat disc(double radius) {
  const int r = std::max(1, static_cast<int>(std::lround(radius)));
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1});
}

cv::Mat dilated(const cv::Mat& on, double radius) {
  cv::Mat out;
  cv::dilate(on, out, disc(radius));
  return out;
}

cv::Point2d rounded(cv::Point2d p) { return {std::round(p.x), std::round(p.y)}; }

bool is_inside(cv::Size size, cv::Point2d p) {
  return p.x >= 0 && p.y >= 0 && p.x < size.width && p.y < size.height;
}

// Adds to each photo's labels (non-zero in px of the photo before) what the other one has when its
// tall patches are shifted back.
struct Shifted {
  cv::Mat before, after;  // CV_8UC1 0 or 255
};

Shifted with_shifts(const cv::Mat& before, const cv::Mat& after_in_before,
                    const cv::Mat& labels_after, const Alignment& alignment) {
  Shifted out{before.clone(), after_in_before.clone()};
  const PlaneMap& map = alignment.after_from_before;
  const PlaneMap back = inverted(map);
  const int reach = std::max(1, static_cast<int>(std::lround(k_tall_reach * alignment.patch_px)));
  for (const TallPatch& t : alignment.tall) {
    const cv::Point2d at = map(t.before_px);
    const cv::Point2d shift_before = back(at + t.offset_px) - t.before_px;
    const cv::Rect box = cv::Rect(cvRound(t.before_px.x) - reach, cvRound(t.before_px.y) - reach,
                                  2 * reach + 1, 2 * reach + 1) &
                         cv::Rect({}, before.size());
    const cv::Point2d right = map(t.before_px + cv::Point2d(1, 0)) - at,
                      down = map(t.before_px + cv::Point2d(0, 1)) - at;
    for (int y = box.y; y < box.br().y; ++y)
      for (int x = box.x; x < box.br().x; ++x) {
        const cv::Point2d q =
            rounded(at + right * (x - t.before_px.x) + down * (y - t.before_px.y) + t.offset_px);
        if (is_inside(labels_after.size(), q) &&
            labels_after.at<uchar>(static_cast<int>(q.y), static_cast<int>(q.x)))
          out.after.at<uchar>(y, x) = 255;
        if (!before.at<uchar>(y, x)) continue;
        const cv::Point2d s = rounded(cv::Point2d(x, y) + shift_before);
        if (is_inside(before.size(), s))
          out.before.at<uchar>(static_cast<int>(s.y), static_cast<int>(s.x)) = 255;
      }
  }
  return out;
}

// What `only` has beyond the border tolerance round `other`, whole up to their common border;
// patches below `least_px` left out.
cv::Mat beyond_border(const cv::Mat& only, const cv::Mat& other, double border, long least_px) {
  cv::Mat seeds = only & ~dilated(other, border);
  cv::Mat out = dilated(seeds, border + 1) & only;
  cv::Mat ids, stats, centres;
  const int count = cv::connectedComponentsWithStats(out, ids, stats, centres, 8);
  std::vector<uchar> is_kept(static_cast<size_t>(count), 255);
  is_kept[0] = 0;
  for (int id = 1; id < count; ++id)
    if (stats.at<int>(id, cv::CC_STAT_AREA) < least_px) is_kept[static_cast<size_t>(id)] = 0;
  for (int y = 0; y < out.rows; ++y) {
    const int* row = ids.ptr<int>(y);
    auto* to = out.ptr<uchar>(y);
    for (int x = 0; x < out.cols; ++x) to[x] = is_kept[static_cast<size_t>(row[x])];
  }
  return out;
}

// 255 where enough of the surroundings looks different.
cv::Mat evidence(const cv::Mat& differs, cv::Size full, double reach_px, double share) {
  cv::Mat mean, enough;
  const int side = 2 * std::max(1, static_cast<int>(std::lround(reach_px / 2))) + 1;
  cv::blur(differs, mean, {side, side});
  enough = mean >= 255 * share;
  cv::resize(enough, enough, full, 0, 0, cv::INTER_NEAREST);
  return enough;
}

// What a photo's check says it cannot show, full size of that photo.
cv::Mat hidden_of(const PhotoCheck* check, cv::Size size) {
  cv::Mat out;
  if (!check || check->hidden.empty()) return cv::Mat::zeros(size, CV_8UC1);
  cv::resize(check->hidden, out, size, 0, 0, cv::INTER_NEAREST);
  return out != 0;
}

}  // namespace

const char* name(ChangeClass c) {
  switch (c) {
    case ChangeClass::none:
      return "none";
    case ChangeClass::removed:
      return "removed";
    case ChangeClass::remaining:
      return "remaining";
    case ChangeClass::fresh:
      return "new";
    case ChangeClass::uncertain_gone:
      return "uncertain-gone";
    case ChangeClass::uncertain_new:
      return "uncertain-new";
    case ChangeClass::part_changed:
      return "part-changed";
    case ChangeClass::not_compared:
      return "not-compared";
  }
  throw Error(ErrorKind::internal, "Internal fault: a change has no name. Please report it.");
}

void ChangeMapOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Change map: {}.", what));
  };
  if (!(border_px >= 0 && border_px <= 50)) refuse("border_px must be 0 to 50");
  if (least_px < 1) refuse("least_px must be at least 1");
  if (!(sure_drop > 0 && sure_drop <= 1)) refuse("sure_drop must be above 0 and at most 1");
  if (!(evidence_mm > 0)) refuse("evidence_mm must be above 0");
  if (!(evidence_share > 0 && evidence_share <= 1))
    refuse("evidence_share must be above 0 and at most 1");
}

ChangeMap change_map(const Looked& before, const Looked& after, const Alignment& alignment,
                     const LookChange& look, const cv::Mat& changed_parts, double px_per_mm,
                     const ChangeMapOptions& options, const Work& work) {
  options.check();
  const cv::Size size = before.map.labels.size(), after_size = after.map.labels.size();
  require(size == alignment.before_size_px && after_size == alignment.after_size_px,
          "a change map needs the residue maps of the aligned photos");
  const PointMap map = alignment.after_from_before;
  const auto seen = [&](const cv::Mat& picture, double outside) {
    work.check();
    return seen_through(picture, size, map, cv::INTER_NEAREST, cv::Scalar(outside));
  };
  ChangeMap out;
  const cv::Mat in_after = seen(cv::Mat(after_size, CV_8UC1, cv::Scalar(255)), 0);
  cv::Mat kept = in_after.clone();
  if (!changed_parts.empty()) kept.setTo(0, changed_parts);
  out.labels_before = cv::Mat::zeros(size, CV_8UC1);
  before.map.labels.copyTo(out.labels_before, kept);
  out.labels_after = cv::Mat::zeros(size, CV_8UC1);
  const cv::Mat labels_after_there = seen(after.map.labels, 0);
  labels_after_there.copyTo(out.labels_after, kept);
  work.report(0.3);

  const cv::Mat b = out.labels_before != 0, a = out.labels_after != 0;
  const Shifted shifted = with_shifts(b, a, after.map.labels, alignment);
  const double before_per_after = 1 / std::max(alignment.scale, 1e-6);
  const double border = options.border_px + alignment.rms_after_px.value * before_per_after;
  cv::Mat gone = beyond_border(b & ~a, shifted.after, border, options.least_px);
  cv::Mat came = beyond_border(a & ~b, shifted.before, border, options.least_px);
  work.report(0.5);

  // Where the residue maps are sure of the change themselves.
  const cv::Mat confidence_after = seen(after.map.confidence, 0);
  cv::Mat drop, rise;
  cv::subtract(before.map.confidence, confidence_after, drop);  // saturates at 0
  cv::subtract(confidence_after, before.map.confidence, rise);
  const double sure = 255 * options.sure_drop;
  const double mm_px =
      px_per_mm > 0 ? px_per_mm : k_mm_of_long_side * std::max(size.width, size.height);
  const double reach = std::max(1.0, options.evidence_mm * mm_px * look.scale);
  cv::Mat differs_gone = evidence(look.went, size, reach, options.evidence_share),
          differs_came = evidence(look.came, size, reach, options.evidence_share);
  const cv::Mat tall = tall_places(alignment, size, 1);
  differs_gone.setTo(0, tall);
  differs_came.setTo(0, tall);
  const cv::Mat blind_before = hidden_of(before.check, size),
                blind_after = seen(hidden_of(after.check, after_size), 255);
  const cv::Mat sure_gone = ((drop >= sure) | differs_gone) & ~blind_after;
  const cv::Mat sure_came = ((rise >= sure) | differs_came) & ~blind_before;
  work.report(0.8);

  const auto id = [](ChangeClass c) { return cv::Scalar(static_cast<double>(c)); };
  out.classes = cv::Mat::zeros(size, CV_8UC1);
  out.classes.setTo(id(ChangeClass::remaining), a | b);
  out.classes.setTo(id(ChangeClass::uncertain_gone), gone & ~sure_gone);
  out.classes.setTo(id(ChangeClass::removed), gone & sure_gone);
  out.classes.setTo(id(ChangeClass::uncertain_new), came & ~sure_came);
  out.classes.setTo(id(ChangeClass::fresh), came & sure_came);
  if (!changed_parts.empty()) out.classes.setTo(id(ChangeClass::part_changed), changed_parts);
  out.classes.setTo(id(ChangeClass::not_compared), ~in_after);
  work.report(1);
  return out;
}

}  // namespace verdigrid
