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
constexpr int k_tile_px = 256;
constexpr double k_tall_reach = 0.35;  // of a patch's side, each way: what shares its shift

cv::Mat dilated(const cv::Mat& on, int radius) {
  cv::Mat out;
  cv::dilate(on, out,
             cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1}));
  return out;
}

cv::Point2d rounded(cv::Point2d p) { return {std::round(p.x), std::round(p.y)}; }

bool is_inside(cv::Size size, cv::Point2d p) {
  return p.x >= 0 && p.y >= 0 && p.x < size.width && p.y < size.height;
}

// Labels after as the plane puts them, and where the photo after shows anything; px of the photo
// before.
struct LabelsThere {
  cv::Mat labels, shown;  // CV_8UC1, shown 0 or 255
};

LabelsThere labels_there(const cv::Mat& labels, cv::Size size, const PointMap& map) {
  LabelsThere out{cv::Mat::zeros(size, CV_8UC1), cv::Mat::zeros(size, CV_8UC1)};
  const cv::Rect whole({}, labels.size());
  for_tiles(size, k_tile_px, [&](cv::Rect tile) {
    const cv::Rect there = window_through(tile, map), inside = there & whole;
    if (inside.empty()) return;
    cv::Mat shown = out.shown(tile), to = out.labels(tile);
    if (inside == there) {
      shown.setTo(255);
      if (cv::countNonZero(labels(inside)) == 0) return;
    }
    const cv::Mat places = dense_map(tile, map);
    if (inside != there) shown_at(labels.size(), places).copyTo(shown);
    cv::remap(labels, to, places, cv::noArray(), cv::INTER_NEAREST, cv::BORDER_CONSTANT,
              cv::Scalar(0));
  });
  return out;
}

// What each photo's labels have where the other one's tall patches are shifted back, px of the
// photo before.
struct Shifted {
  cv::Mat before, after;  // CV_8UC1 0 or 255
};

Shifted shifted_labels(const cv::Mat& before, const cv::Mat& labels_after,
                       const Alignment& alignment) {
  Shifted out{cv::Mat::zeros(before.size(), CV_8UC1), cv::Mat::zeros(before.size(), CV_8UC1)};
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

// How far two borders of one patch may lie apart, and what is too small to be more.
struct Border {
  double px = 0;
  long least_px = 1;
  int radius(double more) const { return std::max(1, static_cast<int>(std::lround(px + more))); }
  // So far a pixel's answer depends on its surroundings.
  int reach() const { return radius(0) + radius(1) + static_cast<int>(least_px) + 1; }
};

// What `only` has beyond the border tolerance round `other`, whole up to their common border;
// smaller patches left out. Right but for a rim of the border's reach.
cv::Mat beyond_border(const cv::Mat& only, const cv::Mat& other, const Border& border) {
  const cv::Mat seeds = only & ~dilated(other, border.radius(0));
  if (cv::countNonZero(seeds) == 0) return seeds;
  cv::Mat out = dilated(seeds, border.radius(1)) & only;
  cv::Mat ids, stats, centres;
  const int count = cv::connectedComponentsWithStats(out, ids, stats, centres, 8);
  std::vector<uchar> is_kept(static_cast<size_t>(count), 255);
  is_kept[0] = 0;
  for (int id = 1; id < count; ++id)
    if (stats.at<int>(id, cv::CC_STAT_AREA) < border.least_px) is_kept[static_cast<size_t>(id)] = 0;
  for (int y = 0; y < out.rows; ++y) {
    const int* row = ids.ptr<int>(y);
    auto* to = out.ptr<uchar>(y);
    for (int x = 0; x < out.cols; ++x) to[x] = is_kept[static_cast<size_t>(row[x])];
  }
  return out;
}

// 255 where enough of the surroundings looks different and nothing tall stands; reduced px.
cv::Mat evidence(const cv::Mat& differs, const cv::Mat& tall, double reach_px, double share) {
  cv::Mat mean;
  const int side = 2 * std::max(1, static_cast<int>(std::lround(reach_px / 2))) + 1;
  cv::blur(differs, mean, {side, side});
  return (mean >= 255 * share) & ~tall;
}

// A picture of a whole at another size, asked by px of that whole.
class CoarsePicture {
 public:
  CoarsePicture(const cv::Mat& picture, cv::Size whole)
      : picture_(picture),
        x_(static_cast<double>(picture.cols) / whole.width),
        y_(static_cast<double>(picture.rows) / whole.height) {}
  bool at(double x, double y) const {
    if (picture_.empty()) return false;
    return picture_.at<uchar>(std::clamp(cvFloor((y + 0.5) * y_), 0, picture_.rows - 1),
                              std::clamp(cvFloor((x + 0.5) * x_), 0, picture_.cols - 1)) != 0;
  }

 private:
  cv::Mat picture_;
  double x_, y_;
};

cv::Mat hidden_of(const PhotoCheck* check) { return check ? check->hidden : cv::Mat(); }

// What the classes of a tile are made of.
class Classifier {
 public:
  Classifier(const Looked& before, const Looked& after, const Alignment& alignment,
             const LookChange& look, const cv::Mat& changed_parts, double px_per_mm,
             const ChangeMapOptions& options)
      : before_(before),
        after_(after),
        map_(alignment.after_from_before),
        parts_(changed_parts),
        size_(before.map.labels.size()),
        sure_(static_cast<int>(std::ceil(255 * options.sure_drop))),
        border_{options.border_px + alignment.rms_after_px.value / std::max(alignment.scale, 1e-6),
                options.least_px},
        hidden_before_(hidden_of(before.check), size_),
        hidden_after_(hidden_of(after.check), after.map.labels.size()) {
    const double mm_px =
        px_per_mm > 0 ? px_per_mm : k_mm_of_long_side * std::max(size_.width, size_.height);
    const double reach = std::max(1.0, options.evidence_mm * mm_px * look.scale);
    const cv::Mat tall = tall_places(alignment, look.went.size(), look.scale);
    went_ = evidence(look.went, tall, reach, options.evidence_share);
    came_ = evidence(look.came, tall, reach, options.evidence_share);
    LabelsThere there = labels_there(after.map.labels, size_, map_);
    shown_ = there.shown;
    out_.labels_after = there.labels;
    cv::Mat kept = shown_;
    if (!changed_parts.empty()) {
      kept = shown_ & (changed_parts == 0);
      out_.labels_after.setTo(0, ~kept);
    }
    out_.labels_before = cv::Mat::zeros(size_, CV_8UC1);
    before.map.labels.copyTo(out_.labels_before, kept);
    shifted_ = shifted_labels(out_.labels_before, after.map.labels, alignment);
    out_.classes = cv::Mat::zeros(size_, CV_8UC1);
  }

  ChangeMap map() {
    for_tiles(size_, k_tile_px, [&](cv::Rect tile) { classify(tile); });
    return std::move(out_);
  }

 private:
  void classify(cv::Rect tile) {
    const int r = border_.reach();
    const cv::Rect wide =
        cv::Rect(tile.x - r, tile.y - r, tile.width + 2 * r, tile.height + 2 * r) &
        cv::Rect({}, size_);
    const cv::Mat b = out_.labels_before(wide) != 0, a = out_.labels_after(wide) != 0;
    cv::Mat classes = out_.classes(tile);
    if (cv::countNonZero(b) + cv::countNonZero(a) > 0) {
      const cv::Rect inner(tile.tl() - wide.tl(), tile.size());
      const cv::Mat gone = beyond_border(b & ~a, a | shifted_.after(wide), border_)(inner),
                    came = beyond_border(a & ~b, b | shifted_.before(wide), border_)(inner);
      const cv::Mat remaining = (a | b)(inner);
      classes.setTo(static_cast<double>(ChangeClass::remaining), remaining);
      if (cv::countNonZero(gone) + cv::countNonZero(came) > 0) set_changed(tile, gone, came);
    }
    if (!parts_.empty())
      classes.setTo(static_cast<double>(ChangeClass::part_changed), parts_(tile));
    classes.setTo(static_cast<double>(ChangeClass::not_compared), ~shown_(tile));
  }

  void set_changed(cv::Rect tile, const cv::Mat& gone, const cv::Mat& came) {
    const cv::Mat places = dense_map(tile, map_);
    cv::Mat confidence;
    cv::remap(after_.map.confidence, confidence, places, cv::noArray(), cv::INTER_NEAREST,
              cv::BORDER_CONSTANT, cv::Scalar(0));
    const CoarsePicture went(went_, size_), came_there(came_, size_);
    for (int y = 0; y < tile.height; ++y)
      for (int x = 0; x < tile.width; ++x) {
        const bool is_gone = gone.at<uchar>(y, x) != 0;
        if (!is_gone && came.at<uchar>(y, x) == 0) continue;
        const cv::Point p(tile.x + x, tile.y + y);
        const int rise = confidence.at<uchar>(y, x) - before_.map.confidence.at<uchar>(p);
        const cv::Vec2f q = places.at<cv::Vec2f>(y, x);
        auto& to = out_.classes.at<uchar>(p);
        const auto set = [&to](bool is_sure, ChangeClass sure, ChangeClass uncertain) {
          to = static_cast<uchar>(is_sure ? sure : uncertain);
        };
        if (is_gone)
          set((-rise >= sure_ || went.at(p.x, p.y)) && !hidden_after_.at(q[0], q[1]),
              ChangeClass::removed, ChangeClass::uncertain_gone);
        else
          set((rise >= sure_ || came_there.at(p.x, p.y)) && !hidden_before_.at(p.x, p.y),
              ChangeClass::fresh, ChangeClass::uncertain_new);
      }
  }

  const Looked &before_, &after_;
  PointMap map_;
  cv::Mat parts_;
  cv::Size size_;
  int sure_;
  Border border_;
  CoarsePicture hidden_before_, hidden_after_;
  cv::Mat went_, came_, shown_;
  Shifted shifted_;
  ChangeMap out_;
};

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
  work.check();
  Classifier classifier(before, after, alignment, look, changed_parts, px_per_mm, options);
  work.report(0.5);
  ChangeMap out = classifier.map();
  work.report(1);
  return out;
}

}  // namespace verdigrid
