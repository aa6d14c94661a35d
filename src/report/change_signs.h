// The signs by which changes are told apart on every picture: colour, hatch and letter.
//
// Units: canvas px, as in signs.h.
#pragma once

#include <string>

#include "compare/comparison.h"
#include "report/canvas.h"

namespace verdigrid {

// For the classes that are shown: removed, remaining, fresh, uncertain_gone, uncertain_new,
// part_changed. Both uncertain ones have one sign.
Hatching hatch_of(ChangeClass c);
Ink ink_of(ChangeClass c);
std::string sign_of(ChangeClass c);  // "−", "=", "+", "?", "P"
std::string meaning_of(ChangeClass c);

// The sign on its colour in a small box around `middle`.
void draw_sign(Canvas& canvas, ChangeClass c, cv::Point2d middle, double em_px);
// The same with the change's number in the list behind it.
void draw_sign(Canvas& canvas, const ChangeItem& change, cv::Point2d middle, double em_px);

// Hatching and colour as in the legend, filling `box`.
void draw_sample(Canvas& canvas, ChangeClass c, const cv::Rect2d& box, double em_px);

}  // namespace verdigrid
