#include "report/change_signs.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/signs.h"

namespace verdigrid {

// Colours: M. Okabe, K. Ito, "Color universal design", 2008 (told apart by colour-blind people).
Ink ink_of(ChangeClass c) {
  switch (c) {
    case ChangeClass::removed:
      return {0.34, 0.71, 0.91, 1};  // sky blue
    case ChangeClass::remaining:
      return {0.90, 0.62, 0.0, 1};  // orange
    case ChangeClass::fresh:
      return {0.84, 0.37, 0.0, 1};  // vermilion
    case ChangeClass::part_changed:
      return {0.94, 0.89, 0.26, 1};  // yellow
    default:
      return {1, 1, 1, 1};
  }
}

Hatching hatch_of(ChangeClass c) {
  switch (c) {
    case ChangeClass::removed:
      return Hatching::level;
    case ChangeClass::remaining:
      return Hatching::crossed;
    case ChangeClass::fresh:
      return Hatching::squares;
    case ChangeClass::part_changed:
      return Hatching::falling;
    default:
      return Hatching::dots;
  }
}

std::string sign_of(ChangeClass c) {
  switch (c) {
    case ChangeClass::removed:
      return "\u2212";
    case ChangeClass::remaining:
      return "=";
    case ChangeClass::fresh:
      return "+";
    case ChangeClass::part_changed:
      return "P";
    default:
      return "?";
  }
}

std::string meaning_of(ChangeClass c) {
  switch (c) {
    case ChangeClass::removed:
      return "residue of the photo before that the photo after does not show";
    case ChangeClass::remaining:
      return "residue that both photos show";
    case ChangeClass::fresh:
      return "residue that only the photo after shows: look there first";
    case ChangeClass::part_changed:
      return "a part was taken off, fitted, replaced or turned; not counted as residue";
    default:
      return "flagged in one photo, but the two look alike there, or one cannot show it";
  }
}

namespace {

void draw_text_sign(Canvas& canvas, ChangeClass c, const std::string& text, cv::Point2d middle,
                    double em_px) {
  cv::Rect2d box = letter_box(middle, em_px);
  const double width = canvas.text_size(text, {0.95 * em_px, Weight::bold}).width + 0.5 * em_px;
  if (width > box.width) box = {middle.x - width / 2, box.y, width, box.height};
  const Ink ground = ink_of(c);
  canvas.fill(box, ground, 0.25 * em_px);
  canvas.outline(box, ink_on(ground), std::max(1.0, 0.08 * em_px), 0.25 * em_px);
  canvas.text_in_middle(text, middle, {0.95 * em_px, Weight::bold, ink_on(ground)});
}

}  // namespace

void draw_sign(Canvas& canvas, ChangeClass c, cv::Point2d middle, double em_px) {
  draw_text_sign(canvas, c, sign_of(c), middle, em_px);
}

void draw_sign(Canvas& canvas, const ChangeItem& change, cv::Point2d middle, double em_px) {
  draw_text_sign(canvas, change.what, fmt::format("{}{}", sign_of(change.what), change.id), middle,
                 em_px);
}

void draw_sample(Canvas& canvas, ChangeClass c, const cv::Rect2d& box, double em_px) {
  constexpr Ink k_board{0.36, 0.40, 0.38, 1};
  const Ink ink = ink_of(c);
  canvas.fill(box, k_board);
  canvas.hatch(box, hatch_of(c), ink, 0.55 * em_px);
  canvas.outline(box, ink_on(ink), std::max(1.0, 0.22 * em_px));
  canvas.outline(box, ink, std::max(1.0, 0.11 * em_px));
}

}  // namespace verdigrid
