// The signs by which residue classes are told apart on every picture: colour, hatch and letter, so
// that each can be read without colour.
//
// Units: canvas px. `em_px` is the height of the letters that goes with the picture's size.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "detect/findings.h"
#include "detect/residue.h"
#include "report/canvas.h"
#include "report/photo_view.h"

namespace verdigrid {

Hatching hatch_of(Residue residue);
Ink ink_of(Residue residue);

// Hatching and outline of one finding, clipped to the view by the caller.
enum class Cover { outline_only, hatched };
void draw_finding(Canvas& canvas, const PhotoView& view, const Finding& finding, Cover cover,
                  double em_px);

// The class letter on its colour in a small box around `middle`, and the box it takes.
cv::Rect2d letter_box(cv::Point2d middle, double em_px);
void draw_letter(Canvas& canvas, Residue residue, cv::Point2d middle, double em_px);

// A place's rank in a dark disc.
void draw_rank(Canvas& canvas, int rank, cv::Point2d middle, double em_px);

// Hatching, colour and letter as in the legend, filling `box`.
void draw_sample(Canvas& canvas, Residue residue, const cv::Rect2d& box, double em_px);

// A bar of a round length (1, 2 or 5 times a power of ten mm) of at most `width_at_most` canvas px,
// its text above it; `at` is the bar's bottom left end. Nothing is drawn when 0.01 mm is too long.
void draw_scale_bar(Canvas& canvas, double canvas_px_per_mm, double width_at_most, cv::Point2d at,
                    double em_px);

}  // namespace verdigrid
