// The lettered grid drawn over a photo, following the board's perspective.
#pragma once

#include "layout/grid.h"
#include "rectify/rectification.h"
#include "report/canvas.h"
#include "report/photo_view.h"

namespace verdigrid {

// Outline and the lines between squares, cut at the outline. Canvas px.
void draw_grid(Canvas& canvas, const PhotoView& view, const Rectification& rectification,
               const Grid& grid, double em_px);

// Row letters and column numbers on all four sides, kept inside `room`.
void draw_grid_names(Canvas& canvas, const PhotoView& view, const Rectification& rectification,
                     const Grid& grid, const cv::Rect2d& room, double em_px);

}  // namespace verdigrid
