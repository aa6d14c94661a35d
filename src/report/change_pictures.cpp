#include "report/change_pictures.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "base/error.h"
#include "detect/regions.h"
#include "report/change_signs.h"
#include "report/figures.h"
#include "report/overlay_grid.h"
#include "report/photo_view.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

constexpr Ink k_paper{1, 1, 1, 1};
constexpr Ink k_text{0.1, 0.1, 0.1, 1};
constexpr Ink k_quiet{0.35, 0.35, 0.35, 1};
constexpr double k_enlarged_at_most = 3;
constexpr double k_row_em = 2.1;
constexpr std::array k_shown{ChangeClass::fresh, ChangeClass::remaining, ChangeClass::removed,
                             ChangeClass::uncertain_gone, ChangeClass::part_changed};

// The part of the photo before that holds the board, with a margin.
cv::Rect board_crop(const Comparison& c) {
  const cv::Rect whole({}, c.before.size_px);
  if (c.rectification.outline_is_frame || c.rectification.outline_px.empty()) return whole;
  const cv::Rect2d box = bounding_box(c.rectification.outline_px.outer);
  const double m = 0.04 * std::max(box.width, box.height);
  const cv::Rect crop = cv::Rect(cvFloor(box.x - m), cvFloor(box.y - m), cvCeil(box.width + 2 * m),
                                 cvCeil(box.height + 2 * m)) &
                        whole;
  return crop.area() > 0 ? crop : whole;
}

PhotoView view_of(const Comparison& c, int long_side_px) {
  PhotoView view;
  view.crop_px = board_crop(c);
  view.turn_deg = c.rectification.turn_deg;
  view.scale = std::min(k_enlarged_at_most, static_cast<double>(long_side_px) /
                                                std::max(view.crop_px.width, view.crop_px.height));
  return view;
}

double em_of(const PhotoView& view) {
  const cv::Size shown = view.shown_size();
  return std::clamp(std::max(shown.width, shown.height) / 90.0, 11.0, 40.0);
}

void check_photos(const Photo& before, const Photo& after, const Comparison& c) {
  require(before.size_px() == c.before.size_px && after.size_px() == c.after.size_px,
          "pictures of a comparison are drawn on its photos");
}

// Regions of a class in px of the photo before; uncertain ones together.
std::vector<Polygon> regions_of(const Comparison& c, ChangeClass what, cv::Rect crop) {
  const cv::Mat classes = c.classes(crop);
  cv::Mat on = classes == static_cast<double>(what);
  if (what == ChangeClass::uncertain_gone)
    on |= classes == static_cast<double>(ChangeClass::uncertain_new);
  return border_polygons(on, crop.tl());
}

void draw_regions(Canvas& canvas, const PhotoView& view, const Comparison& c, ChangeClass what,
                  bool is_hatched, double em) {
  const std::vector<Polygon> regions = on_canvas(view, regions_of(c, what, view.crop_px));
  if (regions.empty()) return;
  const Ink ink = ink_of(what);
  if (is_hatched) canvas.hatch(regions, hatch_of(what), with_opacity(ink, 0.9), 0.5 * em);
  const double width = std::max(1.0, 0.08 * em);
  canvas.outline(regions, with_opacity(ink_on(ink), 0.8), 2.2 * width);
  canvas.outline(regions, ink, 1.1 * width);
}

// Signs or numbers of the list of changes beside their places, without lying on each other.
template <class Draw>
void draw_at_changes(const PhotoView& view, const Comparison& c, int at_most, double em,
                     Draw draw) {
  std::vector<cv::Rect2d> taken;
  const cv::Rect2d shown(view.shown_box());
  int drawn = 0;
  for (const ChangeItem& change : c.changes) {
    if (drawn == at_most) return;
    const double half = 0.5 * std::hypot(change.box_px.width, change.box_px.height) * view.scale;
    const cv::Point2d middle = canvas_point(view, change.centre_px);
    const double reach = std::min(half, 2.5 * em) + 0.8 * em;
    for (const double angle : {-45.0, 135.0, 45.0, -135.0, 0.0, 90.0, 180.0, -90.0}) {
      const double a = angle * CV_PI / 180;
      const cv::Point2d at = middle + reach * cv::Point2d(std::cos(a), std::sin(a));
      cv::Rect2d box = letter_box(at, 1.3 * em);
      box = {box.x - 0.5 * em, box.y, box.width + em, box.height};  // room for two digits
      if ((box & shown).area() < box.area() ||
          std::any_of(taken.begin(), taken.end(),
                      [&](const cv::Rect2d& t) { return (t & box).area() > 0; }))
        continue;
      draw(change, at);
      taken.push_back(box);
      ++drawn;
      break;
    }
  }
}

std::string legend_name(ChangeClass c) {
  switch (c) {
    case ChangeClass::uncertain_gone:
      return "uncertain";
    case ChangeClass::part_changed:
      return "part changed";
    default:
      return name(c);
  }
}

std::string legend_figure(const Comparison& c, ChangeClass what) {
  const ChangeRow& t = c.table.total;
  const char* unit = c.table.has_mm ? "mm²" : "board px²";
  const auto area = [&](const Interval& i) {
    return c.table.has_mm ? area_figure(i) : fmt::format("{} {}", figure(i.value), unit);
  };
  switch (what) {
    case ChangeClass::removed: {
      const std::string text = area(t.removed);
      return t.removed_percent
                 ? fmt::format("{}, {:.0f} %", text, std::floor(t.removed_percent->value))
                 : text;
    }
    case ChangeClass::remaining:
      return fmt::format("{} before, {} after", area(t.before), area(t.after));
    case ChangeClass::fresh:
      return area(t.fresh);
    case ChangeClass::uncertain_gone:
      return fmt::format("{} {}", figure(t.uncertain_gone + t.uncertain_new), unit);
    default:
      return fmt::format("{} {}", c.part_changes.size(),
                         c.part_changes.size() == 1 ? "place" : "places");
  }
}

double legend_height(double em) { return (k_row_em * k_shown.size() + 4.5) * em; }

// Signs, figures and the verdict.
void draw_legend(Canvas& canvas, const Comparison& c, double top, double em) {
  const double left = 2 * em, right = canvas.size_px().width - left;
  double y = top;
  for (const ChangeClass what : k_shown) {
    draw_sample(canvas, what, {left, y + 0.25 * em, 3.2 * em, 1.5 * em}, em);
    draw_sign(canvas, what, {left + 4.4 * em, y + em}, em);
    const TextStyle bold{em, Weight::bold, k_text};
    canvas.text(legend_name(what), {left + 6 * em, y + 0.4 * em}, bold);
    const std::string figures = legend_figure(c, what);
    const double width = canvas.text_size(figures, bold).width;
    canvas.text(figures, {right, y + 0.4 * em}, bold, Anchor::right);
    TextStyle meaning{em, Weight::regular, k_quiet, right - width - 2 * em - (left + 15 * em)};
    if (meaning.width_px > 10 * em)
      canvas.text(meaning_of(what), {left + 15 * em, y + 0.4 * em}, meaning);
    y += k_row_em * em;
  }
  canvas.text(fmt::format("Verdict: {}", words(c.table.total.verdict)), {left, y + 0.4 * em},
              {1.15 * em, Weight::bold, k_text, right - left});
  canvas.text(
      "What the photos do not show was not compared; not a clearance. Places on tall parts are "
      "seen shifted.",
      {left, y + 2.3 * em}, {0.92 * em, Weight::regular, k_quiet, right - left});
}

void draw_heading(Canvas& canvas, const std::string& title, const Comparison& c, double em) {
  const double left = 2 * em, width = canvas.size_px().width - 2 * left;
  canvas.text(title, {left, 0.5 * em}, {1.35 * em, Weight::bold, k_text, width});
  const char* unit = c.table.has_mm ? "mm" : "board px";
  canvas.text(
      fmt::format("{} side · aligned to {} {} rms · verdigrid {}", name(c.rectification.side),
                  figure(c.alignment.rms_board.value), unit, c.program_version),
      {left, 2.4 * em}, {em, Weight::regular, k_quiet, width});
}

cv::Mat after_in_place(const Photo& after, const Comparison& c) {
  return aligned_after(after.bgr, c.alignment, c.before.size_px, &c.harmony);
}

}  // namespace

void ChangePictureOptions::check() const {
  if (long_side_px < 400 || long_side_px > 20000)
    throw Error(ErrorKind::wrong_use,
                "long_side_px of a comparison's picture lies between 400 and 20000.");
  if (numbers_at_most < 0)
    throw Error(ErrorKind::wrong_use,
                "numbers_at_most of a comparison's picture cannot be negative.");
}

cv::Mat change_overlay(const Photo& before, const Photo& after, const Comparison& c,
                       const ChangePictureOptions& options, const Work& work) {
  options.check();
  check_photos(before, after, c);
  PhotoView view = view_of(c, options.long_side_px);
  const double em = em_of(view);
  const int margin = cvRound(2.2 * em), heading = cvRound(4.2 * em);
  view.top_left = {margin, heading + margin / 2};
  const cv::Size shown = view.shown_size();
  const double top = heading + shown.height + 1.6 * margin;
  Canvas canvas({shown.width + 2 * margin, cvCeil(top + legend_height(em))}, k_paper);
  canvas.put_picture(shown_picture(after_in_place(after, c), view), view.top_left);
  work.check();
  work.report(0.3);
  canvas.clip_to(cv::Rect2d(view.shown_box()));
  draw_grid(canvas, view, c.rectification, c.table.grid, em);
  for (const ChangeClass what : k_shown) draw_regions(canvas, view, c, what, true, em);
  work.check();
  work.report(0.8);
  draw_at_changes(
      view, c, options.numbers_at_most, em,
      [&](const ChangeItem& change, cv::Point2d at) { draw_sign(canvas, change, at, em); });
  canvas.release();
  draw_grid_names(
      canvas, view, c.rectification, c.table.grid,
      cv::Rect2d(0, heading - 0.3 * em, canvas.size_px().width, shown.height + 1.6 * margin), em);
  draw_heading(canvas, fmt::format("What changed: {} to {}", c.before.name, c.after.name), c, em);
  draw_legend(canvas, c, top, em);
  work.report(1);
  return canvas.bgr();
}

cv::Mat side_by_side(const Photo& before, const Photo& after, const Comparison& c,
                     const ChangePictureOptions& options, const Work& work) {
  options.check();
  check_photos(before, after, c);
  PhotoView view = view_of(c, options.long_side_px / 2);
  if (view.shown_size().width > options.long_side_px / 2)
    view.scale *= options.long_side_px / 2.0 / view.shown_size().width;
  const double em = em_of(view);
  const int margin = cvRound(2 * em), heading = cvRound(6.4 * em);
  const cv::Size shown = view.shown_size();
  const double top = heading + shown.height + margin;
  Canvas canvas({2 * shown.width + 3 * margin, cvCeil(top + legend_height(em))}, k_paper);
  const auto panel = [&](const cv::Mat& bgr, int left, const std::string& title, bool is_after) {
    view.top_left = {left, heading};
    canvas.put_picture(shown_picture(bgr, view), view.top_left);
    canvas.text(title, {double(left), heading - 1.7 * em},
                {1.1 * em, Weight::bold, k_text, double(shown.width)});
    canvas.clip_to(cv::Rect2d(view.shown_box()));
    for (const ChangeClass what : k_shown) {
      const bool shows = is_after ? what != ChangeClass::removed : what != ChangeClass::fresh;
      if (shows) draw_regions(canvas, view, c, what, false, em);
    }
    draw_at_changes(
        view, c, options.numbers_at_most, 1.1 * em,
        [&](const ChangeItem& change, cv::Point2d at) { draw_rank(canvas, change.id, at, em); });
    canvas.release();
    work.check();
  };
  panel(before.bgr, margin, fmt::format("Before: {}", c.before.name), false);
  work.report(0.4);
  panel(after_in_place(after, c), shown.width + 2 * margin,
        fmt::format("After: {}, in the same place and light", c.after.name), true);
  draw_heading(canvas, "Before and after", c, em);
  draw_legend(canvas, c, top, em);
  work.report(1);
  return canvas.bgr();
}

BeforeAndAfter plain_views(const Photo& before, const Photo& after, const Comparison& c,
                           const ChangePictureOptions& options, const Work& work) {
  options.check();
  check_photos(before, after, c);
  const PhotoView view = view_of(c, options.long_side_px);
  BeforeAndAfter views;
  views.before = shown_picture(before.bgr, view);
  work.check();
  views.after = shown_picture(after_in_place(after, c), view);
  work.report(1);
  return views;
}

}  // namespace verdigrid
