#include "report/overlay_grid.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace verdigrid {

namespace {

constexpr Ink k_casing{0, 0, 0, 0.45};
constexpr Ink k_line{1, 1, 1, 0.85};
constexpr Ink k_name_ground{1, 1, 1, 0.92};
constexpr Ink k_name_ink{0.08, 0.08, 0.08, 1};

// A straight line of the board, as the photo shows it (bent by the lens).
Ring board_line(const PhotoView& view, const Rectification& r, cv::Point2d from, cv::Point2d to) {
  constexpr int k_steps = 24;
  Ring ring;
  for (int i = 0; i <= k_steps; ++i)
    ring.push_back(canvas_point(view, photo_point(r, from + (to - from) * (double(i) / k_steps))));
  return ring;
}

void draw_name(Canvas& canvas, const std::string& name, cv::Point2d middle, const cv::Rect2d& room,
               double em_px) {
  const TextStyle style{em_px, Weight::bold, k_name_ink};
  const double width = std::max(canvas.text_size(name, style).width + 0.6 * em_px, 1.4 * em_px);
  const double height = 1.4 * em_px;
  middle.x = std::clamp(middle.x, room.x + width / 2, room.x + room.width - width / 2);
  middle.y = std::clamp(middle.y, room.y + height / 2, room.y + room.height - height / 2);
  canvas.fill(cv::Rect2d(middle.x - width / 2, middle.y - height / 2, width, height), k_name_ground,
              0.35 * em_px);
  canvas.text_in_middle(name, middle, style);
}

// From `at` on the grid's edge outwards, a little off the board.
cv::Point2d beside(const PhotoView& view, const Rectification& r, cv::Point2d at,
                   cv::Point2d outwards, double em_px) {
  const cv::Point2d here = canvas_point(view, photo_point(r, at));
  const cv::Point2d there = canvas_point(view, photo_point(r, at + outwards));
  const double length = cv::norm(there - here);
  return length > 0 ? here + (there - here) * (1.1 * em_px / length) : here;
}

}  // namespace

void draw_grid(Canvas& canvas, const PhotoView& view, const Rectification& r, const Grid& grid,
               double em_px) {
  const cv::Rect2d& f = grid.frame;
  const double width = std::max(1.0, 0.06 * em_px);
  const Polygon outline = on_canvas(view, r.outline_px);
  const bool has_outline = !outline.empty() && !r.outline_is_frame;
  if (has_outline) canvas.clip_to(std::vector<Polygon>{outline});
  std::vector<Ring> lines;
  for (int i = 1; i < grid.columns; ++i) {
    const double x = f.x + i * grid.square_width();
    lines.push_back(board_line(view, r, {x, f.y}, {x, f.y + f.height}));
  }
  for (int i = 1; i < grid.rows; ++i) {
    const double y = f.y + i * grid.square_height();
    lines.push_back(board_line(view, r, {f.x, y}, {f.x + f.width, y}));
  }
  for (const Ring& line : lines) canvas.line(line, k_casing, 2.5 * width);
  for (const Ring& line : lines) canvas.line(line, k_line, width);
  if (!has_outline) return;
  canvas.release();
  canvas.outline(std::vector<Polygon>{outline}, k_casing, 4.5 * width);
  canvas.outline(std::vector<Polygon>{outline}, k_line, 2 * width);
}

void draw_grid_names(Canvas& canvas, const PhotoView& view, const Rectification& r,
                     const Grid& grid, const cv::Rect2d& room, double em_px) {
  const cv::Rect2d& f = grid.frame;
  const double step = 0.02 * std::max(f.width, f.height);
  for (int row = 0; row < grid.rows; ++row) {
    const double y = f.y + (row + 0.5) * grid.square_height();
    const std::string name = row_letters(row);
    draw_name(canvas, name, beside(view, r, {f.x, y}, {-step, 0}, em_px), room, em_px);
    draw_name(canvas, name, beside(view, r, {f.x + f.width, y}, {step, 0}, em_px), room, em_px);
  }
  for (int column = 0; column < grid.columns; ++column) {
    const double x = f.x + (column + 0.5) * grid.square_width();
    const std::string name = std::to_string(column + 1);
    draw_name(canvas, name, beside(view, r, {x, f.y}, {0, -step}, em_px), room, em_px);
    draw_name(canvas, name, beside(view, r, {x, f.y + f.height}, {0, step}, em_px), room, em_px);
  }
}

}  // namespace verdigrid
