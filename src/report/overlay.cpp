#include "report/overlay.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "base/error.h"
#include "report/figures.h"
#include "report/overlay_grid.h"
#include "report/overlay_legend.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

constexpr Ink k_paper{1, 1, 1, 1};
constexpr double k_enlarged_at_most = 3;

// Where everything goes on the canvas.
struct Plan {
  double em_px = 0;
  PhotoView view;
  cv::Rect2d room;  // the photo and the margin for grid names
  cv::Size canvas;
};

Plan plan_for(const Survey& survey, const OverlayOptions& options) {
  Plan plan;
  const cv::Size photo = survey.photo_size_px;
  plan.view.crop_px = cv::Rect({}, photo);
  plan.view.turn_deg = survey.rectification.turn_deg;
  plan.view.scale = std::min(k_enlarged_at_most,
                             double(options.long_side_px) / std::max(photo.width, photo.height));
  const cv::Size shown = plan.view.shown_size();
  plan.em_px = std::clamp(std::max(shown.width, shown.height) / 110.0, 11.0, 40.0);
  const int margin = static_cast<int>(std::lround(2.2 * plan.em_px));
  const int heading = static_cast<int>(std::lround(overlay_heading_em * plan.em_px));
  plan.view.top_left = {margin, heading + margin / 2};
  const int width = shown.width + 2 * margin;
  const int legend = static_cast<int>(std::ceil(overlay_legend_height(survey, width, plan.em_px)));
  plan.room = cv::Rect2d(0, heading - 0.3 * plan.em_px, width, shown.height + 1.6 * margin);
  plan.canvas = cv::Size(width, heading + shown.height + 3 * margin / 2 + legend);
  return plan;
}

// What the photo cannot show, veiled and hatched in grey.
void draw_unseen(Canvas& canvas, const Plan& plan, const PhotoCheck& check) {
  if (check.hidden.empty() || cv::countNonZero(check.hidden) == 0) return;
  std::vector<std::vector<cv::Point>> contours;
  cv::Mat hidden = check.hidden != 0;
  cv::findContours(hidden, contours, cv::RETR_LIST, cv::CHAIN_APPROX_NONE);
  Polygon area;
  for (const auto& contour : contours) {
    Ring ring;
    for (const cv::Point& p : contour)
      ring.push_back(canvas_point(
          plan.view,
          (cv::Point2d(p) + cv::Point2d(0.5, 0.5)) / check.hidden_scale - cv::Point2d(0.5, 0.5)));
    area.holes.push_back(std::move(ring));
  }
  const std::vector<Polygon> areas{area};
  canvas.fill(areas, k_unseen_veil);
  canvas.hatch(areas, Hatching::pluses, k_unseen_ink, 0.9 * plan.em_px);
}

bool overlaps(const std::vector<cv::Rect2d>& taken, const cv::Rect2d& box) {
  return std::any_of(taken.begin(), taken.end(),
                     [&box](const cv::Rect2d& t) { return (t & box).area() > 0; });
}

cv::Rect2d canvas_box(const PhotoView& view, const cv::Rect& box_px) {
  const cv::Point2d half(0.5, 0.5);
  return {canvas_point(view, cv::Point2d(box_px.tl()) - half),
          canvas_point(view, cv::Point2d(box_px.br()) - half)};
}

// Just outside the finding's largest region, where it reaches furthest in each of eight directions.
std::vector<cv::Point2d> letter_places(const Plan& plan, const Finding& finding) {
  const auto& regions = finding.regions_px;
  const auto largest =
      std::max_element(regions.begin(), regions.end(),
                       [](const Polygon& a, const Polygon& b) { return area(a) < area(b); });
  std::vector<cv::Point2d> places;
  if (largest == regions.end() || largest->empty()) return places;
  const Ring ring = on_canvas(plan.view, largest->outer);
  const double half = std::sqrt(0.5);
  for (const cv::Point2d& way : {cv::Point2d(half, -half),
                                 {-half, -half},
                                 {half, half},
                                 {-half, half},
                                 {0, -1},
                                 {0, 1},
                                 {-1, 0},
                                 {1, 0}}) {
    const auto furthest = std::max_element(
        ring.begin(), ring.end(),
        [&way](const cv::Point2d& a, const cv::Point2d& b) { return a.dot(way) < b.dot(way); });
    places.push_back(*furthest + 0.9 * plan.em_px * way);
  }
  return places;
}

// Letters beside the findings, the largest first; one that has no free place is left out.
void draw_letters(Canvas& canvas, const Plan& plan, const Survey& survey, int at_most,
                  std::vector<cv::Rect2d>& taken) {
  std::vector<const Finding*> order;
  for (const Finding& f : survey.findings.findings) order.push_back(&f);
  std::stable_sort(order.begin(), order.end(),
                   [](const Finding* a, const Finding* b) { return a->area_px > b->area_px; });
  const cv::Rect2d shown(plan.view.shown_box());
  int drawn = 0;
  for (const Finding* f : order) {
    if (drawn == at_most) break;
    for (const cv::Point2d& middle : letter_places(plan, *f)) {
      const cv::Rect2d place = letter_box(middle, plan.em_px);
      if ((place & shown).area() < place.area() || overlaps(taken, place)) continue;
      draw_letter(canvas, f->residue, middle, plan.em_px);
      taken.push_back(place);
      ++drawn;
      break;
    }
  }
}

// The free corner of `box` for a disc of radius r: top left first, top left also when none is free.
cv::Point2d rank_middle(const cv::Rect2d& box, const cv::Rect2d& shown, double r,
                        const std::vector<cv::Rect2d>& taken) {
  std::optional<cv::Point2d> first;
  for (const cv::Point2d& corner : {cv::Point2d(box.x, box.y),
                                    {box.x + box.width, box.y},
                                    {box.x, box.y + box.height},
                                    {box.x + box.width, box.y + box.height},
                                    {box.x + box.width / 2, box.y}}) {
    const cv::Point2d middle(std::clamp(corner.x, shown.x + r, shown.x + shown.width - r),
                             std::clamp(corner.y, shown.y + r, shown.y + shown.height - r));
    if (!overlaps(taken, {middle.x - r, middle.y - r, 2 * r, 2 * r})) return middle;
    if (!first) first = middle;
  }
  return *first;
}

// Corner brackets around each place, with its rank.
std::vector<cv::Rect2d> draw_places(Canvas& canvas, const Plan& plan, const Survey& survey) {
  std::vector<cv::Rect2d> taken;
  const double r = 0.95 * plan.em_px;
  for (const Place& place : survey.findings.places)
    draw_brackets(canvas, canvas_box(plan.view, place.crop_px), plan.em_px);
  for (const Place& place : survey.findings.places) {
    const cv::Point2d middle = rank_middle(canvas_box(plan.view, place.crop_px),
                                           cv::Rect2d(plan.view.shown_box()), r, taken);
    draw_rank(canvas, place.rank, middle, plan.em_px);
    taken.emplace_back(middle.x - r, middle.y - r, 2 * r, 2 * r);
  }
  return taken;
}

}  // namespace

void OverlayOptions::check() const {
  if (long_side_px < 200 || long_side_px > 20000)
    throw Error(ErrorKind::wrong_use, "long_side_px of the overlay lies between 200 and 20000.");
  if (letters_at_most < 0)
    throw Error(ErrorKind::wrong_use, "letters_at_most of the overlay cannot be negative.");
}

PhotoView overlay_view(const Survey& survey, const OverlayOptions& options) {
  return plan_for(survey, options).view;
}

cv::Mat overlay_picture(const Photo& photo, const Survey& survey, const OverlayOptions& options,
                        const Work& work) {
  options.check();
  require(photo.size_px() == survey.photo_size_px,
          "an overlay is drawn on the photo of its survey");
  const Plan plan = plan_for(survey, options);
  Canvas canvas(plan.canvas, k_paper);
  canvas.put_picture(shown_picture(photo.bgr, plan.view), plan.view.top_left);
  work.check();
  canvas.clip_to(cv::Rect2d(plan.view.shown_box()));
  draw_unseen(canvas, plan, survey.check);
  draw_grid(canvas, plan.view, survey.rectification, survey.zones.grid, plan.em_px);
  for (const Finding& finding : survey.findings.findings)
    draw_finding(canvas, plan.view, finding, Cover::hatched, plan.em_px);
  work.check();
  std::vector<cv::Rect2d> taken = draw_places(canvas, plan, survey);
  draw_letters(canvas, plan, survey, options.letters_at_most, taken);
  canvas.release();
  draw_grid_names(canvas, plan.view, survey.rectification, survey.zones.grid, plan.room,
                  plan.em_px);
  draw_overlay_heading(canvas, survey, plan.em_px);
  draw_overlay_legend(canvas, survey, plan.room.y + plan.room.height, plan.view.scale, plan.em_px);
  work.report(1);
  return canvas.bgr();
}

}  // namespace verdigrid
