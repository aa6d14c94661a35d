// Heading and legend around the overlay's photo.
//
// Units: canvas px; `em_px` is the height of the text.
#pragma once

#include "measure/survey.h"
#include "report/canvas.h"

namespace verdigrid {

inline constexpr double overlay_heading_em = 4.2;  // height of the heading
inline constexpr Ink k_unseen_veil{0.75, 0.75, 0.75, 0.25};
inline constexpr Ink k_unseen_ink{0.85, 0.85, 0.85, 0.9};

// What was surveyed, and how the scale was had.
void draw_overlay_heading(Canvas& canvas, const Survey& survey, double em_px);

// Height that the legend takes on a canvas of this width.
double overlay_legend_height(const Survey& survey, double width_px, double em_px);

// Signs in use with their figures, the scale bar, and what the picture does not say. `top`: canvas
// px; `canvas_px_per_photo_px`: scale of the shown photo.
void draw_overlay_legend(Canvas& canvas, const Survey& survey, double top,
                         double canvas_px_per_photo_px, double em_px);

// Corner brackets just outside `box`.
void draw_brackets(Canvas& canvas, const cv::Rect2d& box, double em_px);

}  // namespace verdigrid
