#include "report/places_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "report/figures.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

constexpr Ink k_paper{1, 1, 1, 1};
constexpr Ink k_text{0.1, 0.1, 0.1, 1};
constexpr Ink k_quiet{0.35, 0.35, 0.35, 1};
constexpr double k_em_per_crop = 1.0 / 24;

struct Plan {
  double em, gap, caption, heading;
  int columns, rows, crop;

  int width() const { return static_cast<int>(std::ceil(columns * (crop + gap) + gap)); }
  int height() const {
    return static_cast<int>(std::ceil(heading + rows * (crop + caption + gap) + gap));
  }
  cv::Point cell(int i) const {
    return {static_cast<int>(gap + i % columns * (crop + gap)),
            static_cast<int>(heading + i / columns * (crop + caption + gap))};
  }
};

Plan plan_for(size_t places, const PlacesSheetOptions& options) {
  Plan plan{};
  plan.em = options.crop_px * k_em_per_crop;
  plan.gap = 1.2 * plan.em;
  plan.caption = 6.4 * plan.em;
  plan.heading = 5 * plan.em;
  plan.crop = options.crop_px;
  plan.columns = std::min(options.columns, std::max(2, static_cast<int>(places)));
  const auto columns = static_cast<size_t>(plan.columns);
  plan.rows = static_cast<int>((places + columns - 1) / columns);
  return plan;
}

const Finding* finding_with(const Survey& survey, int id) {
  const auto& all = survey.findings.findings;
  const auto at =
      std::find_if(all.begin(), all.end(), [id](const Finding& f) { return f.id == id; });
  return at == all.end() ? nullptr : &*at;
}

void draw_crop(Canvas& canvas, const Photo& photo, const Survey& survey, const Place& place,
               const Plan& plan, cv::Point at) {
  PhotoView view;
  view.crop_px = squared(place.crop_px, photo.size_px());
  view.turn_deg = survey.rectification.turn_deg;
  view.scale = double(plan.crop) / view.crop_px.width;
  view.top_left = at;
  canvas.put_picture(shown_picture(photo.bgr, view), at);
  const cv::Rect2d box(view.shown_box());
  canvas.clip_to(box);
  for (const int id : place.findings)
    if (const Finding* f = finding_with(survey, id))
      draw_finding(canvas, view, *f, Cover::outline_only, plan.em);
  if (survey.rectification.px_per_mm) {
    const double px_per_mm = survey.rectification.px_per_mm->value * view.scale;
    draw_scale_bar(canvas, px_per_mm, 0.3 * plan.crop,
                   {box.x + 0.7 * plan.em, box.y + box.height - 0.7 * plan.em}, plan.em);
  }
  canvas.release();
  canvas.outline(box, {0.6, 0.6, 0.6, 1}, 1);
}

void draw_caption(Canvas& canvas, const Survey& survey, const Place& place, const Plan& plan,
                  cv::Point at) {
  const double em = plan.em, top = at.y + plan.crop + 0.5 * em;
  const Finding* finding = main_finding(survey, place);
  draw_rank(canvas, place.rank, {at.x + em, top + em}, em);
  double x = at.x + 2.4 * em;
  const std::string square = place_square(survey, place);
  const TextStyle name_style{1.25 * em, Weight::bold, k_text};
  canvas.text(square, {x, top + 0.15 * em}, name_style);
  x += canvas.text_size(square, name_style).width + em;
  if (!finding) return;
  draw_letter(canvas, finding->residue, {x + 0.6 * em, top + em}, em);
  TextStyle kind{em, Weight::bold, k_text, at.x + plan.crop - (x + 1.7 * em)};
  canvas.text(fmt::format("{} {:.0f} %", name(finding->residue), 100 * finding->confidence),
              {x + 1.7 * em, top + 0.3 * em}, kind);
  TextStyle reason{0.88 * em, Weight::regular, k_quiet, double(plan.crop), 3};
  canvas.text(finding->reason, {double(at.x), top + 2.2 * em}, reason);
}

cv::Mat empty_sheet(const Survey& survey, const Plan& plan) {
  Canvas canvas({plan.width(), static_cast<int>(std::lround(9 * plan.em))}, k_paper);
  const double width = plan.width() - 2 * plan.gap;
  canvas.text(survey.photo.name, {plan.gap, plan.em}, {1.5 * plan.em, Weight::bold, k_text, width});
  canvas.text(nothing_found_sentence(survey), {plan.gap, 3.8 * plan.em},
              {1.1 * plan.em, Weight::regular, k_text, width, 2});
  return canvas.bgr();
}

}  // namespace

void PlacesSheetOptions::check() const {
  if (columns < 1 || columns > 12)
    throw Error(ErrorKind::wrong_use, "columns of the sheet of places lies between 1 and 12.");
  if (crop_px < 100 || crop_px > 2000)
    throw Error(ErrorKind::wrong_use, "crop_px of the sheet of places lies between 100 and 2000.");
}

cv::Rect squared(cv::Rect crop, cv::Size photo) {
  const int side = std::min({std::max(crop.width, crop.height), photo.width, photo.height});
  const int x = crop.x + crop.width / 2 - side / 2, y = crop.y + crop.height / 2 - side / 2;
  return {std::clamp(x, 0, photo.width - side), std::clamp(y, 0, photo.height - side), side, side};
}
const Finding* main_finding(const Survey& survey, const Place& place) {
  const Finding* largest = nullptr;
  for (const int id : place.findings)
    if (const Finding* f = finding_with(survey, id);
        f && (!largest || f->area_px > largest->area_px))
      largest = f;
  return largest;
}
std::string place_square(const Survey& survey, const Place& place) {
  const Finding* finding = main_finding(survey, place);
  const cv::Point2d middle = finding
                                 ? finding->centre_px
                                 : cv::Point2d(place.crop_px.x + 0.5 * (place.crop_px.width - 1),
                                               place.crop_px.y + 0.5 * (place.crop_px.height - 1));
  return square_at(survey.zones.grid, board_point(survey.rectification, middle))
      .value_or("off the board");
}

cv::Mat places_sheet(const Photo& photo, const Survey& survey, const PlacesSheetOptions& options,
                     const Work& work) {
  options.check();
  require(photo.size_px() == survey.photo_size_px, "places are cut from the photo of their survey");
  const auto& places = survey.findings.places;
  const Plan plan = plan_for(places.size(), options);
  if (places.empty()) return empty_sheet(survey, plan);
  Canvas canvas({plan.width(), plan.height()}, k_paper);
  const double width = plan.width() - 2 * plan.gap;
  canvas.text(fmt::format("Places worth a look: {}", survey.photo.name), {plan.gap, 0.9 * plan.em},
              {1.5 * plan.em, Weight::bold, k_text, width});
  canvas.text("Worst first. The percentage says how likely it is residue at all.",
              {plan.gap, 3 * plan.em}, {plan.em, Weight::regular, k_quiet, width});
  for (size_t i = 0; i < places.size(); ++i) {
    const cv::Point at = plan.cell(static_cast<int>(i));
    draw_crop(canvas, photo, survey, places[i], plan, at);
    draw_caption(canvas, survey, places[i], plan, at);
    work.check();
    work.report(double(i + 1) / double(places.size()));
  }
  return canvas.bgr();
}

}  // namespace verdigrid
