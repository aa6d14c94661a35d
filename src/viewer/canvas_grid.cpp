// The grid with the names of squares, the scale bar, and what names on the canvas give way to.

#include <fmt/format.h>

#include <cmath>
#include <optional>

#include "viewer/canvas_painter.h"

namespace verdigrid {

namespace {

ImVec2 im(cv::Point2f p) { return {p.x, p.y}; }

struct ScaleBar {
  double length_mm = 0;
  ImVec2 from;      // screen px, the left end
  float width = 0;  // screen px
  cv::Rect2f box;   // screen px, with its ground and figure
};

std::optional<ScaleBar> scale_bar(const Survey& s, const ViewerState& state) {
  if (!s.rectification.px_per_mm) return std::nullopt;
  const Theme& t = state.theme;
  const double per_px = 1 / s.rectification.px_per_mm->value,
               length = scale_bar_length(per_px, state.view.scale, t.px(160));
  const auto width = static_cast<float>(length / per_px * state.view.scale);
  const ImVec2 a{static_cast<float>(state.canvas.x) + t.px(20),
                 static_cast<float>(state.canvas.br().y) - t.px(22)};
  return ScaleBar{length, a, width, {a.x - t.px(8), a.y - t.px(24), width + t.px(16), t.px(34)}};
}

// Squares as wide as so many names have room for them; else they would cover the board, and only
// its first row and column carry any.
bool have_names_room(const CanvasPainter& paint, const Survey& s) {
  constexpr float k_roomy = 2.5f;
  const Grid& g = s.zones.grid;
  const auto at = [&](cv::Point2d p) { return paint.at(photo_point(s.rectification, p)); };
  const ImVec2 left = at(g.frame.tl()), right = at({g.frame.br().x, g.frame.y});
  const float width =
      std::hypot(right.x - left.x, right.y - left.y) / static_cast<float>(g.columns);
  return width >= k_roomy * ImGui::CalcTextSize(square_name(g.rows - 1, g.columns - 1).c_str()).x;
}

template <class Each>
void for_square_names(const CanvasPainter& paint, const Survey& s, Each each) {
  const Grid& g = s.zones.grid;
  const bool is_roomy = have_names_room(paint, s);
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.columns; ++c) {
      if (!is_roomy && r > 0 && c > 0) continue;
      const ImVec2 corner = paint.at(photo_point(s.rectification, square_rect(g, r, c).tl()));
      each(ImVec2(corner.x + 5, corner.y + 3), square_name(r, c));
    }
}

}  // namespace

cv::Point2d sign_px(const Note& n) {
  return n.kind == NoteKind::arrow || n.kind == NoteKind::outline ? n.points_px.front()
                                                                  : n.points_px.back();
}

void draw_grid_lines(const CanvasPainter& paint, const Survey& s) {
  const Grid& g = s.zones.grid;
  const auto photo = [&](double x, double y) { return photo_point(s.rectification, {x, y}); };
  for (int c = 0; c <= g.columns; ++c)
    paint.line(photo(g.frame.x + c * g.square_width(), g.frame.y),
               photo(g.frame.x + c * g.square_width(), g.frame.br().y),
               IM_COL32(255, 255, 255, 130), 1);
  for (int r = 0; r <= g.rows; ++r)
    paint.line(photo(g.frame.x, g.frame.y + r * g.square_height()),
               photo(g.frame.br().x, g.frame.y + r * g.square_height()),
               IM_COL32(255, 255, 255, 130), 1);
}

void keep_places_free(const CanvasPainter& paint, const Survey& s, const std::vector<Note>& notes,
                      bool has_grid) {
  const Theme& t = paint.state().theme;
  if (const auto bar = scale_bar(s, paint.state())) paint.places().keep_free(bar->box);
  if (paint.state().layers.notes)
    for (const Note& n : notes) {
      const ImVec2 p = paint.at(sign_px(n));
      const float r = t.px(10);
      paint.places().keep_free({p.x - r, p.y - r, 2 * r, 2 * r});
    }
  if (has_grid && !have_names_room(paint, s))
    for_square_names(paint, s, [&](ImVec2 at, const std::string& name) {
      const ImVec2 size = ImGui::CalcTextSize(name.c_str());
      paint.places().keep_free({at.x - 3, at.y - 1, size.x + 6, size.y + 2});
    });
}

void draw_square_names(const CanvasPainter& paint, const Survey& s) {
  const bool is_roomy = have_names_room(paint, s);
  const cv::Rect2d& canvas = paint.state().canvas;
  for_square_names(paint, s, [&](ImVec2 at, const std::string& name) {
    if (!is_roomy) return paint.label(at, name);
    if (canvas.contains({at.x, at.y})) paint.label_if_free({{at.x, at.y}}, name);
  });
}

void draw_scale_bar(const CanvasPainter& paint, const Survey& s) {
  const auto bar = scale_bar(s, paint.state());
  if (!bar) return;
  const Theme& t = paint.state().theme;
  ImDrawList& list = paint.list();
  const ImVec2 a = bar->from;
  list.AddRectFilled(im(bar->box.tl()), im(bar->box.br()), IM_COL32(0, 0, 0, 150), t.px(4));
  list.AddRectFilled(a, {a.x + bar->width, a.y + t.px(4)}, IM_COL32(255, 255, 255, 255));
  list.AddText({a.x, a.y - t.px(20)}, IM_COL32(255, 255, 255, 255),
               fmt::format("{:g} mm", bar->length_mm).c_str());
}

}  // namespace verdigrid
