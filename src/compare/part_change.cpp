#include "compare/part_change.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "layout/layout.h"

namespace verdigrid {

namespace {

constexpr double k_mm_of_long_side = 1.0 / 150;
constexpr double k_least_sd = 8;       // grey levels: flatter places say nothing
constexpr size_t k_least_patches = 4;  // of a region without a layout
constexpr double k_board_margin = 4;   // CIE 1976: by so much nearer to the board's own colour
// Without a layout a region is told only where nearly all of it looks different, and where neither
// photo shows it again some way off: tall parts are seen shifted by more than patches are searched.
constexpr double k_region_differing = 0.7;
constexpr double k_shifted_score = 0.9;
constexpr double k_wide_mm = 12;

struct Pictures {
  cv::Mat before, after;  // grey, blurred
  cv::Mat differs;        // 0 or 1
  cv::Mat residue;        // 0 or 1, reduced
  const LookChange& look;
  double mm_px = 1;  // reduced px per mm
  cv::Vec3d board_colour;
};

struct Likeness {
  double same = 1, turned = -1;  // best correlation as it stands, and turned by 90, 180 or 270
  double differing = 0;          // share
  double residue = 0;            // share
  bool is_textured = false;
};

double sd_of(const cv::Mat& m) {
  cv::Scalar mean, sd;
  cv::meanStdDev(m, mean, sd);
  return sd[0];
}

double best_score(const cv::Mat& patch, const cv::Mat& window) {
  if (window.rows < patch.rows || window.cols < patch.cols) return -1;
  cv::Mat score;
  cv::matchTemplate(window, patch, score, cv::TM_CCOEFF_NORMED);
  double best = -1;
  cv::minMaxLoc(score, nullptr, &best);
  return best;
}

cv::Rect grown(cv::Rect box, int by, cv::Size size) {
  return cv::Rect(box.x - by, box.y - by, box.width + 2 * by, box.height + 2 * by) &
         cv::Rect({}, size);
}

Likeness likeness_of(const Pictures& p, cv::Rect box, int search) {
  Likeness l;
  box &= cv::Rect({}, p.before.size());
  if (box.width < 5 || box.height < 5) return l;
  const cv::Rect window = grown(box, search, p.before.size());
  const cv::Mat b = p.before(box), a = p.after(box);
  const double sb = sd_of(b), sa = sd_of(a);
  l.is_textured = std::max(sb, sa) >= k_least_sd;
  l.differing = cv::mean(p.differs(box))[0];
  l.residue = cv::mean(p.residue(box))[0];
  if (!l.is_textured) return l;
  // Whichever of the two has more to show is looked for in the other.
  const cv::Mat& patch = sb >= sa ? b : a;
  const cv::Mat where = sb >= sa ? p.after(window) : p.before(window);
  l.same = best_score(patch, where);
  cv::Mat turned;
  for (const int turn : {cv::ROTATE_180, cv::ROTATE_90_CLOCKWISE, cv::ROTATE_90_COUNTERCLOCKWISE}) {
    cv::rotate(patch, turned, turn);
    l.turned = std::max(l.turned, best_score(turned, where));
  }
  return l;
}

bool is_changed(const Likeness& l, const PartChangeOptions& options) {
  return l.is_textured && l.same < options.unlike_score && l.differing >= options.differing_share &&
         l.residue < options.residue_share;
}

// Nearer to the bare board than before: taken off; farther: fitted.
PartChangeKind kind_of(const Pictures& p, cv::Rect box, const Likeness& l,
                       const PartChangeOptions& options) {
  if (l.turned >= options.turned_score && l.turned > l.same + 0.3) return PartChangeKind::turned;
  const auto off_board = [&](const cv::Mat& bgr) {
    const cv::Scalar m = cv::mean(bgr(box));
    return cv::norm(cv::Vec3d(m[0], m[1], m[2]) - p.board_colour) / 2.55;
  };
  const double before = off_board(p.look.before), after = off_board(p.look.after);
  if (after < before - k_board_margin) return PartChangeKind::missing;
  if (before < after - k_board_margin) return PartChangeKind::fitted;
  return PartChangeKind::replaced;
}

cv::Vec3d median_colour(const cv::Mat& bgr, const cv::Mat& in_both) {
  cv::Vec3d out;
  for (int c = 0; c < 3; ++c) {
    std::vector<uchar> values;
    for (int y = 0; y < bgr.rows; y += 4)
      for (int x = 0; x < bgr.cols; x += 4)
        if (in_both.at<uchar>(y, x)) values.push_back(bgr.at<cv::Vec3b>(y, x)[c]);
    if (values.empty()) return {};
    const auto middle = values.begin() + static_cast<long>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    out[c] = *middle;
  }
  return out;
}

Pictures pictures_of(const LookChange& look, const cv::Mat& residue, double px_per_mm) {
  Pictures p{{}, {}, {}, {}, look, 1, {}};
  cv::cvtColor(look.before, p.before, cv::COLOR_BGR2GRAY);
  cv::cvtColor(look.after, p.after, cv::COLOR_BGR2GRAY);
  cv::GaussianBlur(p.before, p.before, {}, 0.8);
  cv::GaussianBlur(p.after, p.after, {}, 0.8);
  p.differs = ((look.went | look.came) != 0) / 255;
  if (residue.empty())
    p.residue = cv::Mat::zeros(p.before.size(), CV_8UC1);
  else
    cv::resize(residue, p.residue, p.before.size(), 0, 0, cv::INTER_NEAREST);
  p.residue = (p.residue != 0) / 255;
  p.mm_px = look.scale *
            (px_per_mm > 0
                 ? px_per_mm
                 : k_mm_of_long_side * std::max(look.before.cols, look.before.rows) / look.scale);
  p.board_colour = median_colour(look.before, look.in_both);
  return p;
}

cv::Point2d to_photo(cv::Point2d p, double scale) {
  return (p + cv::Point2d(0.5, 0.5)) * (1 / scale) - cv::Point2d(0.5, 0.5);
}

Polygon box_polygon(cv::Rect box, double scale) {
  const cv::Point2d half(0.5, 0.5), a = to_photo(cv::Point2d(box.tl()) - half, scale),
                                    b = to_photo(cv::Point2d(box.br()) - half, scale);
  return {{a, {b.x, a.y}, b, {a.x, b.y}}, {}};
}

PartChange change_at(const Polygon& region, const Rectification& r) {
  PartChange c;
  c.region_px = region;
  const cv::Rect2d box = bounding_box(region.outer);
  c.centre_px = (box.tl() + box.br()) / 2;
  Ring board = region.outer;
  for (cv::Point2d& p : board) p = board_point(r, p);
  c.area = std::abs(signed_area(board));
  return c;
}

std::vector<PartChange> by_layout(const Pictures& p, const Rectification& r, const Layout& layout,
                                  const PartChangeOptions& options) {
  std::vector<PartChange> out;
  const double per_mm = layout.has_mm ? 1 : 0;  // bodies in board px are taken as they are
  const int search = static_cast<int>(std::ceil(options.search_mm * p.mm_px));
  for (const Part& part : layout.parts) {
    if (part.side != r.side || !part.has_body()) continue;
    if (per_mm * std::min(part.body.width, part.body.height) < per_mm * options.least_part_mm)
      continue;
    Polygon body{body_ring(part), {}};
    for (cv::Point2d& q : body.outer) q = photo_point(r, q);
    body.outer = clockwise(std::move(body.outer));
    const cv::Rect2d seen = bounding_box(body.outer);
    const double s = p.look.scale;
    const cv::Rect box(cvRound(seen.x * s), cvRound(seen.y * s), cvRound(seen.width * s),
                       cvRound(seen.height * s));
    const cv::Rect inside = box & cv::Rect({}, p.before.size());
    if (inside.area() == 0 || inside != box || cv::countNonZero(p.look.in_both(box)) < box.area())
      continue;
    const Likeness l = likeness_of(p, box, search);
    const bool turned = l.is_textured && l.same < options.unlike_score &&
                        l.turned >= options.turned_score && l.turned > l.same + 0.3;
    if (!turned && !is_changed(l, options)) continue;
    PartChange c = change_at(body, r);
    c.designator = part.designator;
    c.kind = kind_of(p, box, l, options);
    out.push_back(std::move(c));
  }
  return out;
}

// 255 on the board, but not round tall parts that were found again: there one photo shows a wall
// that the other does not.
cv::Mat judged_places(const Pictures& p, const Alignment& alignment, const Rectification& r) {
  cv::Mat on = cv::Mat::zeros(p.before.size(), CV_8UC1);
  const double s = p.look.scale;
  const auto reduced = [s](cv::Point2d q) { return cv::Point(cvRound(q.x * s), cvRound(q.y * s)); };
  std::vector<cv::Point> ring;
  if (!r.outline_is_frame)
    for (const cv::Point2d& q : r.outline_px.outer) ring.push_back(reduced(q));
  if (ring.empty())
    on.setTo(255);
  else
    cv::fillPoly(on, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(255));
  on.setTo(0, tall_places(alignment, on.size(), s));
  return on;
}

// Whether either photo's look of the place is found in the other one within reach of the top of a
// tall part.
bool is_seen_shifted(const Pictures& p, cv::Rect box) {
  const cv::Rect window =
      grown(box, static_cast<int>(std::ceil(k_wide_mm * p.mm_px)), p.before.size());
  const auto is_found = [&](const cv::Mat& look, const cv::Mat& other) {
    return sd_of(look(box)) >= k_least_sd &&
           best_score(look(box), other(window)) >= k_shifted_score;
  };
  return is_found(p.before, p.after) || is_found(p.after, p.before);
}

std::vector<PartChange> by_patches(const Pictures& p, const Rectification& r, const cv::Mat& judged,
                                   const PartChangeOptions& options, const Work& work) {
  const int side = std::max(9, static_cast<int>(std::lround(options.patch_mm * p.mm_px)));
  const int step = std::max(3, side / 2);
  const int search = static_cast<int>(std::ceil(options.search_mm * p.mm_px));
  const int columns = (p.before.cols - side) / step + 1, rows = (p.before.rows - side) / step + 1;
  if (columns < 1 || rows < 1) return {};
  cv::Mat changed = cv::Mat::zeros(rows, columns, CV_8UC1);
  work.check();
  cv::parallel_for_(cv::Range(0, rows), [&](const cv::Range& range) {
    for (int j = range.start; j < range.end; ++j)
      for (int i = 0; i < columns; ++i) {
        const cv::Rect box(i * step, j * step, side, side);
        if (cv::countNonZero(p.look.in_both(box) & judged(box)) < box.area()) continue;
        if (cv::mean(p.differs(box))[0] < options.differing_share) continue;
        if (is_changed(likeness_of(p, box, search), options)) changed.at<uchar>(j, i) = 255;
      }
  });
  cv::Mat ids, stats, centres;
  const int count = cv::connectedComponentsWithStats(changed, ids, stats, centres, 8);
  std::vector<PartChange> out;
  for (int id = 1; id < count; ++id) {
    if (stats.at<int>(id, cv::CC_STAT_AREA) < static_cast<int>(k_least_patches)) continue;
    const cv::Rect cells(stats.at<int>(id, cv::CC_STAT_LEFT), stats.at<int>(id, cv::CC_STAT_TOP),
                         stats.at<int>(id, cv::CC_STAT_WIDTH),
                         stats.at<int>(id, cv::CC_STAT_HEIGHT));
    const cv::Rect box(cells.x * step, cells.y * step, (cells.width - 1) * step + side,
                       (cells.height - 1) * step + side);
    if (cv::mean(p.differs(box))[0] < k_region_differing || is_seen_shifted(p, box)) continue;
    PartChange c = change_at(box_polygon(box, p.look.scale), r);
    // Like pins and bare board fit turned round too: only a body that is known was turned.
    c.kind = kind_of(p, box, {}, options);
    out.push_back(std::move(c));
  }
  return out;
}

}  // namespace

const char* name(PartChangeKind k) {
  switch (k) {
    case PartChangeKind::missing:
      return "missing";
    case PartChangeKind::fitted:
      return "fitted";
    case PartChangeKind::replaced:
      return "replaced";
    case PartChangeKind::turned:
      return "turned";
  }
  throw Error(ErrorKind::internal, "Internal fault: a change of a part has no name. Report it.");
}

void PartChangeOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Changed parts: {}.", what));
  };
  if (!(patch_mm > 0)) refuse("patch_mm must be above 0");
  if (!(search_mm >= 0 && search_mm <= 20)) refuse("search_mm must be 0 to 20");
  if (!(least_part_mm > 0)) refuse("least_part_mm must be above 0");
  for (const double share : {unlike_score, turned_score, differing_share, residue_share})
    if (!(share >= 0 && share <= 1)) refuse("scores and shares must be 0 to 1");
}

std::vector<PartChange> part_changes(const LookChange& look, const Alignment& alignment,
                                     const Rectification& r, const Layout* layout,
                                     const cv::Mat& residue, double px_per_mm,
                                     const PartChangeOptions& options, const Work& work) {
  options.check();
  const Pictures p = pictures_of(look, residue, px_per_mm);
  if (layout && !layout->parts.empty()) return by_layout(p, r, *layout, options);
  return by_patches(p, r, judged_places(p, alignment, r), options, work);
}

cv::Mat picture_of(const std::vector<PartChange>& changes, cv::Size size) {
  cv::Mat out = cv::Mat::zeros(size, CV_8UC1);
  for (const PartChange& c : changes) {
    std::vector<cv::Point> ring;
    for (const cv::Point2d& p : c.region_px.outer) ring.emplace_back(cvRound(p.x), cvRound(p.y));
    cv::fillPoly(out, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(255));
  }
  return out;
}

}  // namespace verdigrid
