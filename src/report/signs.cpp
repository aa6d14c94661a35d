#include "report/signs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr Ink k_dark{0.08, 0.08, 0.08, 1};
constexpr Ink k_white{1, 1, 1, 1};

// The longest of 1, 2, 5 x 10^n mm that is not longer than `limit_mm`; 0 when below 0.01 mm.
double round_length_mm(double limit_mm) {
  if (!(limit_mm >= 0.01)) return 0;
  const double decade = std::pow(10.0, std::floor(std::log10(limit_mm)));
  for (const double k : {5.0, 2.0})
    if (k * decade <= limit_mm) return k * decade;
  return decade;
}

}  // namespace

Hatching hatch_of(Residue residue) {
  switch (residue) {
    case Residue::copper_salt:
      return Hatching::rising;
    case Residue::leak_film:
      return Hatching::level;
    case Residue::white_salt:
      return Hatching::dots;
    case Residue::rust:
      return Hatching::crossed;
    case Residue::attacked_joint:
      return Hatching::upright;
    case Residue::eaten_copper:
      return Hatching::squares;
    case Residue::unsure:
    case Residue::none:
      return Hatching::falling;
  }
  require(false, "every residue class has a hatch");
  return Hatching::falling;
}

Ink ink_of(Residue residue) { return ink_from_bgr(colour_bgr(residue)); }

void draw_finding(Canvas& canvas, const PhotoView& view, const Finding& finding, Cover cover,
                  double em_px) {
  const std::vector<Polygon> regions = on_canvas(view, finding.regions_px);
  const Ink ink = ink_of(finding.residue);
  if (cover == Cover::hatched)
    canvas.hatch(regions, hatch_of(finding.residue), with_opacity(ink, 0.9), 0.55 * em_px);
  const double width = std::max(1.0, 0.09 * em_px);
  canvas.outline(regions, with_opacity(ink_on(ink), 0.8), 2.4 * width);
  canvas.outline(regions, ink, 1.2 * width);
}

cv::Rect2d letter_box(cv::Point2d middle, double em_px) {
  const double side = 1.25 * em_px;
  return {middle.x - side / 2, middle.y - side / 2, side, side};
}

void draw_letter(Canvas& canvas, Residue residue, cv::Point2d middle, double em_px) {
  const cv::Rect2d box = letter_box(middle, em_px);
  const Ink ground = ink_of(residue);
  canvas.fill(box, ground, 0.25 * em_px);
  canvas.outline(box, ink_on(ground), std::max(1.0, 0.08 * em_px), 0.25 * em_px);
  canvas.text_in_middle(std::string(1, letter(residue)), middle,
                        {0.95 * em_px, Weight::bold, ink_on(ground)});
}

void draw_rank(Canvas& canvas, int rank, cv::Point2d middle, double em_px) {
  canvas.disc(middle, 0.85 * em_px, k_dark);
  canvas.ring(middle, 0.85 * em_px, k_white, std::max(1.2, 0.1 * em_px));
  canvas.text_in_middle(std::to_string(rank), middle, {0.9 * em_px, Weight::bold, k_white});
}

void draw_sample(Canvas& canvas, Residue residue, const cv::Rect2d& box, double em_px) {
  constexpr Ink k_board{0.36, 0.40, 0.38, 1};  // a mid grey, as a board would lie under the hatch
  const Ink ink = ink_of(residue);
  canvas.fill(box, k_board);
  canvas.hatch(box, hatch_of(residue), ink, 0.55 * em_px);
  canvas.outline(box, ink_on(ink), std::max(1.0, 0.22 * em_px));
  canvas.outline(box, ink, std::max(1.0, 0.11 * em_px));
}

void draw_scale_bar(Canvas& canvas, double canvas_px_per_mm, double width_at_most, cv::Point2d at,
                    double em_px) {
  const double length_mm = round_length_mm(width_at_most / canvas_px_per_mm);
  if (length_mm == 0) return;
  const double length = length_mm * canvas_px_per_mm, height = 0.32 * em_px;
  const cv::Rect2d bar(at.x, at.y - height, length, height);
  const std::string text = fmt::format("{:g} mm", length_mm);
  const TextStyle style{0.95 * em_px, Weight::bold, k_dark};
  const cv::Size2d size = canvas.text_size(text, style);
  const double pad = 0.35 * em_px;
  canvas.fill(cv::Rect2d(at.x - pad, bar.y - size.height - pad,
                         std::max(length, size.width) + 2 * pad, height + size.height + 2 * pad),
              with_opacity(k_white, 0.85), pad);
  canvas.fill(bar, k_dark);
  canvas.fill(cv::Rect2d(bar.x + length / 2, bar.y + 1, length / 2 - 1, height - 2), k_white);
  canvas.text(text, {at.x, bar.y - size.height}, style);
}

}  // namespace verdigrid
