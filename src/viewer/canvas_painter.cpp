#include "viewer/canvas_painter.h"

#include <algorithm>

#include "desk/triangles.h"

namespace verdigrid {

void CanvasPainter::fill(const Ring& ring, ImU32 colour) const {
  Ring screen;
  screen.reserve(ring.size());
  for (const cv::Point2d p : ring)
    screen.push_back(screen_from_photo(state_.view, state_.canvas, p));
  const auto im = [](cv::Point2d p) {
    return ImVec2(static_cast<float>(p.x), static_cast<float>(p.y));
  };
  const ImDrawListFlags flags = list_.Flags;
  list_.Flags &= ~ImDrawListFlags_AntiAliasedFill;  // else the seams between triangles show
  for (const Triangle& t : triangles_of(screen))
    list_.AddTriangleFilled(im(screen[t[0]]), im(screen[t[1]]), im(screen[t[2]]), colour);
  list_.Flags = flags;
}

bool CanvasPainter::label_if_free(const std::vector<cv::Point2f>& wanted,
                                  const std::string& text) const {
  const ImVec2 size = ImGui::CalcTextSize(text.c_str());
  const auto at = places_.place(wanted, {size.x, size.y});
  if (at) label({at->x, at->y}, text);
  return at.has_value();
}

cv::Rect2d loupe_screen(const ViewerState& state) {
  if (!state.layers.loupe || !state.cursor_px) return {};
  const double side = std::min(
                   {state.theme.px(220) * 1.0, state.canvas.width / 3, state.canvas.height / 2}),
               gap = state.theme.px(16);
  cv::Rect2d where(state.canvas.br().x - side - gap, state.canvas.y + gap, side, side);
  const cv::Point2d cursor = screen_from_photo(state.view, state.canvas, *state.cursor_px);
  const cv::Rect2d near(where.x - gap, where.y - gap, where.width + 2 * gap,
                        where.height + 2 * gap);
  if (near.contains(cursor)) where.x = state.canvas.x + gap;
  return where;
}

double loupe_scale(const ViewerState& state) {
  constexpr double k_times = 4, k_least = 2;
  return std::clamp(state.view.scale * k_times, k_least, k_largest_scale);
}

}  // namespace verdigrid
