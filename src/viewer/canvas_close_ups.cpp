// Close-ups on the photo of their side: outlined, named, opened by a click.
#include "base/segment.h"
#include "viewer/canvas_painter.h"
#include "viewer/panels.h"

namespace verdigrid {

namespace {

constexpr ImU32 k_frame_colour = IM_COL32(255, 255, 255, 235);
constexpr double k_reach = 7;  // screen px beside the edge, at a scale of one

bool are_shown(const ViewerState& state) {
  return state.step == Step::receive || state.step == Step::survey || state.step == Step::notes ||
         state.step == Step::bench;
}

// Where the name stands: at the frame's highest corner on the screen.
ImVec2 name_place(const CanvasPainter& paint, const Ring& outline_px) {
  ImVec2 highest = paint.at(outline_px.front());
  for (const cv::Point2d p : outline_px) {
    const ImVec2 at = paint.at(p);
    if (at.y < highest.y) highest = at;
  }
  return {highest.x + 5, highest.y + 4};
}

}  // namespace

void draw_close_ups(const Desk& desk, const CanvasPainter& paint) {
  if (!are_shown(paint.state())) return;
  const Theme& t = paint.state().theme;
  const KeptCloseUp* under_cursor = paint.state().cursor_px
                                        ? close_up_at(desk, paint.state(), *paint.state().cursor_px)
                                        : nullptr;
  for (const KeptCloseUp& c : desk.bench().close_ups) {
    const bool is_hot = &c == under_cursor;
    const Ring& outline_px = c.close_up.place.outline_px;
    const std::string& file = c.close_up.close_up.name;
    paint.ring(outline_px, is_hot ? colour_u32(k_accent_on_photo) : k_frame_colour,
               t.px(is_hot ? 3 : 1.5f));
    paint.label(name_place(paint, outline_px), is_hot ? "open " + file : file);
  }
}

// The edge only: what lies within stays clickable.
const KeptCloseUp* close_up_at(const Desk& desk, const ViewerState& state, cv::Point2d p_px) {
  if (!are_shown(state)) return nullptr;
  const KeptCloseUp* nearest = nullptr;
  double least = state.theme.px(k_reach) / state.view.scale;
  for (const KeptCloseUp& c : desk.bench().close_ups) {
    const Ring& ring = c.close_up.place.outline_px;
    for (size_t i = 0; i < ring.size(); ++i) {
      const double d = distance_to_segment(p_px, ring[i], ring[(i + 1) % ring.size()]);
      if (d < least) least = d, nearest = &c;
    }
  }
  return nearest;
}

}  // namespace verdigrid
