#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr double k_wheel_step = 1.2;
constexpr float k_handle_radius = 8, k_close_radius = 12;

ImVec2 im(cv::Point2d p) { return {static_cast<float>(p.x), static_cast<float>(p.y)}; }

class Painter {
 public:
  Painter(ImDrawList& list, const ViewerState& state) : list_(list), state_(state) {}
  ImVec2 at(cv::Point2d p_px) const {
    return im(screen_from_photo(state_.view, state_.canvas, p_px));
  }
  // A light line with a dark one under it, readable on any board.
  void line(cv::Point2d a, cv::Point2d b, ImU32 colour, float width) const {
    list_.AddLine(at(a), at(b), IM_COL32(0, 0, 0, 150), width + state_.theme.px(2));
    list_.AddLine(at(a), at(b), colour, width);
  }
  void ring(const Ring& ring, ImU32 colour, float width) const {
    for (size_t i = 0; i < ring.size(); ++i)
      line(ring[i], ring[(i + 1) % ring.size()], colour, width);
  }
  void label(ImVec2 p, const std::string& text) const {
    const ImVec2 size = ImGui::CalcTextSize(text.c_str());
    list_.AddRectFilled({p.x - 3, p.y - 1}, {p.x + size.x + 3, p.y + size.y + 1},
                        IM_COL32(0, 0, 0, 160), 3);
    list_.AddText(p, IM_COL32(255, 255, 255, 240), text.c_str());
  }

 private:
  ImDrawList& list_;
  const ViewerState& state_;
};

void draw_grid(const Painter& paint, const Survey& s) {
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
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.columns; ++c) {
      const cv::Rect2d q = square_rect(g, r, c);
      const ImVec2 corner = paint.at(photo(q.x, q.y));
      paint.label({corner.x + 5, corner.y + 3}, square_name(r, c));
    }
}

void draw_findings(ImDrawList& list, const Painter& paint, const Survey& s,
                   const ViewerState& state) {
  const Theme& t = state.theme;
  for (const Finding& f : s.findings.findings) {
    const bool is_selected = f.id == state.selected_finding;
    const ImU32 colour = colour_u32(residue_colour(f.residue));
    if (is_selected)
      for (const Polygon& p : f.regions_px) paint.ring(p.outer, colour, t.px(2));
    const ImVec2 c = paint.at(f.centre_px), edge = paint.at({f.box_px.br().x + 0.0, f.centre_px.y});
    const float radius = std::max(std::hypot(edge.x - c.x, edge.y - c.y), t.px(9)) + t.px(4);
    if (state.layers.rings || is_selected) {
      list.AddCircle(c, radius, IM_COL32(0, 0, 0, 170), 48, t.px(is_selected ? 6 : 4));
      list.AddCircle(c, radius, colour, 48, t.px(is_selected ? 3.5f : 2));
      residue_chip(list, t, {c.x + radius * 0.72f, c.y - radius * 0.72f}, f.residue, t.px(8));
    }
  }
}

// The place that is asked about: its outline and a bright frame round the crop; the rest of the
// rings stay away.
void draw_place(const Painter& paint, const LookPlace& place, const Theme& t) {
  for (const Polygon& p : place.region_px)
    paint.ring(p.outer, colour_u32(residue_colour(place.residue)), t.px(2));
  const cv::Rect2d c(place.crop_px);
  paint.ring({c.tl(), {c.br().x, c.y}, c.br(), {c.x, c.br().y}}, IM_COL32(255, 255, 255, 230),
             t.px(1.5f));
}

void draw_notes(ImDrawList& list, const Painter& paint, const std::vector<Note>& notes,
                const Theme& t) {
  const ImU32 colour = IM_COL32(255, 214, 102, 255);
  for (const Note& n : notes) {
    const ImVec2 head = paint.at(n.points_px.back());
    if (n.kind == NoteKind::outline) paint.ring(n.points_px, colour, t.px(2));
    if (n.kind == NoteKind::arrow) {
      paint.line(n.points_px[0], n.points_px[1], colour, t.px(2.5f));
      const ImVec2 tail = paint.at(n.points_px[0]);
      const float length = std::max(1.f, std::hypot(head.x - tail.x, head.y - tail.y)),
                  ux = (head.x - tail.x) / length, uy = (head.y - tail.y) / length, s = t.px(11);
      list.AddTriangleFilled(
          head, {head.x - s * ux + s * 0.5f * uy, head.y - s * uy - s * 0.5f * ux},
          {head.x - s * ux - s * 0.5f * uy, head.y - s * uy + s * 0.5f * ux}, colour);
    }
    const ImVec2 sign = n.kind == NoteKind::arrow     ? paint.at(n.points_px[0])
                        : n.kind == NoteKind::outline ? paint.at(n.points_px[0])
                                                      : head;
    list.AddCircleFilled(sign, t.px(10), IM_COL32(30, 30, 30, 255), 20);
    list.AddCircleFilled(sign, t.px(8.5f), colour, 20);
    const std::string text = std::to_string(n.id);
    const ImVec2 size = ImGui::CalcTextSize(text.c_str());
    list.AddText({sign.x - size.x / 2, sign.y - size.y / 2}, IM_COL32(20, 20, 20, 255),
                 text.c_str());
  }
}

void draw_scale_bar(ImDrawList& list, const Survey& s, const ViewerState& state) {
  if (!s.rectification.px_per_mm) return;
  const Theme& t = state.theme;
  const double per_px = 1 / s.rectification.px_per_mm->value,
               length = scale_bar_length(per_px, state.view.scale, t.px(160));
  const auto width = static_cast<float>(length / per_px * state.view.scale);
  const ImVec2 a{static_cast<float>(state.canvas.x) + t.px(20),
                 static_cast<float>(state.canvas.br().y) - t.px(22)};
  list.AddRectFilled({a.x - t.px(8), a.y - t.px(24)}, {a.x + width + t.px(8), a.y + t.px(10)},
                     IM_COL32(0, 0, 0, 150), t.px(4));
  list.AddRectFilled(a, {a.x + width, a.y + t.px(4)}, IM_COL32(255, 255, 255, 255));
  list.AddText({a.x, a.y - t.px(20)}, IM_COL32(255, 255, 255, 255),
               fmt::format("{:g} mm", length).c_str());
}

// The four corners as handles; a drag is one undo step.
void handle_corners(const Desk& desk, ViewerState& state, Actions& actions, ImDrawList& list,
                    const Painter& paint, cv::Point2d mouse_px, bool is_over) {
  Drafts& d = state.drafts;
  if (state.step != Step::straighten || d.corners_px.size() != 4) return;
  paint.ring(d.corners_px, colour_u32(state.theme.accent), state.theme.px(2));
  for (int i = 0; i < 4; ++i) {
    const ImVec2 p = paint.at(d.corners_px[static_cast<size_t>(i)]);
    const ImVec2 m = ImGui::GetIO().MousePos;
    const bool is_hot =
        is_over && std::hypot(p.x - m.x, p.y - m.y) < state.theme.px(2 * k_handle_radius);
    if (is_hot && ImGui::IsMouseClicked(0) && d.dragged_corner < 0) d.dragged_corner = i;
    list.AddCircleFilled(p, state.theme.px(k_handle_radius), IM_COL32(0, 0, 0, 180), 24);
    list.AddCircleFilled(p, state.theme.px(k_handle_radius - 2),
                         is_hot || d.dragged_corner == i ? IM_COL32(255, 255, 255, 255)
                                                         : colour_u32(state.theme.accent),
                         24);
  }
  if (d.dragged_corner < 0) return;
  d.corners_px[static_cast<size_t>(d.dragged_corner)] = mouse_px;
  if (!ImGui::IsMouseReleased(0)) return;
  d.dragged_corner = -1;
  ScaleChoice s = desk.document()->scale;
  s.corners_px = d.corners_px;
  actions.push_back(SetScale{s, "Move a corner"});
}

void finish_note(ViewerState& state, Actions& actions, NoteKind kind) {
  Note n;
  n.kind = kind;
  n.points_px = std::exchange(state.drafts.tool_px, {});
  actions.push_back(AddNote{n});
  state.step = Step::notes;
  state.tool = Tool::look;
}

void point_at(ViewerState& state, Actions& actions) {
  actions.push_back(PointAt{std::exchange(state.drafts.tool_px, {}), std::nullopt});
  state.tool = Tool::look;
}

void click_tool(ViewerState& state, Actions& actions, cv::Point2d mouse_px) {
  std::vector<cv::Point2d>& points = state.drafts.tool_px;
  if (state.tool == Tool::measure && points.size() == 2) points.clear();
  if (state.tool == Tool::outline && points.size() >= 3) {
    const cv::Point2d first = screen_from_photo(state.view, state.canvas, points.front()),
                      here = screen_from_photo(state.view, state.canvas, mouse_px);
    if (cv::norm(first - here) < state.theme.px(k_close_radius))
      return finish_note(state, actions, NoteKind::outline);
  }
  points.push_back(mouse_px);
  if (state.tool == Tool::point) return point_at(state, actions);
  if (state.tool == Tool::pin)
    finish_note(state, actions, NoteKind::pin);
  else if (state.tool == Tool::arrow && points.size() == 2)
    finish_note(state, actions, NoteKind::arrow);
}

void draw_tool(const Desk& desk, const ViewerState& state, const Painter& paint, ImDrawList& list) {
  const std::vector<cv::Point2d>& points = state.drafts.tool_px;
  if (points.empty()) return;
  const ImU32 colour = IM_COL32(255, 255, 255, 255);
  for (size_t i = 0; i + 1 < points.size(); ++i)
    paint.line(points[i], points[i + 1], colour, state.theme.px(2));
  if (state.cursor_px && state.tool != Tool::look &&
      !(state.tool == Tool::measure && points.size() == 2))
    paint.line(points.back(), *state.cursor_px, colour, state.theme.px(1.5f));
  for (const cv::Point2d p : points)
    list.AddCircleFilled(paint.at(p), state.theme.px(4), colour, 12);
  if (state.tool != Tool::measure) return;
  const std::optional<cv::Point2d> end =
      points.size() == 2 ? std::optional(points[1]) : state.cursor_px;
  if (!end) return;
  std::string text = fmt::format("{:.1f} px", cv::norm(*end - points[0]));
  if (const Rectification* r = desk.derived().rectification.get(); r && r->has_scale())
    text = fmt::format("{:.2f} mm", cv::norm(board_point(*r, *end) - board_point(*r, points[0])));
  const ImVec2 p = paint.at(*end);
  paint.label({p.x + 14, p.y + 10}, text);
}

void handle_mouse(ViewerState& state, Actions& actions, bool is_over, cv::Point2d mouse,
                  const cv::Size photo_px) {
  const ImGuiIO& io = ImGui::GetIO();
  if (is_over && io.MouseWheel != 0)
    state.view = zoomed(state.view, state.canvas, mouse, std::pow(k_wheel_step, io.MouseWheel));
  const bool is_free = state.drafts.dragged_corner < 0;
  const bool is_drag =
      ImGui::IsItemActive() && is_free && ImGui::IsMouseDragging(0, state.theme.px(4));
  const cv::Point2d mouse_px = photo_from_screen(state.view, state.canvas, mouse);
  if (is_drag && state.tool == Tool::point)
    state.drafts.tool_px.push_back(mouse_px);
  else if (is_drag)
    state.view = moved(state.view, {io.MouseDelta.x, io.MouseDelta.y});
  const bool is_click = is_over && ImGui::IsMouseReleased(0) &&
                        io.MouseDragMaxDistanceSqr[0] < state.theme.px(4) * state.theme.px(4);
  if (is_click && is_free && state.tool != Tool::look)
    click_tool(state, actions, mouse_px);
  else if (ImGui::IsMouseReleased(0) && state.tool == Tool::point && !state.drafts.tool_px.empty())
    point_at(state, actions);
  state.view = kept_in_sight(state.view, photo_px);
}

}  // namespace

void draw_canvas_overlay(const Desk& desk, ViewerState& state, Actions& actions) {
  const Derived& d = desk.derived();
  const cv::Rect2d c = state.canvas;
  ImGui::SetNextWindowPos(im(c.tl()));
  ImGui::SetNextWindowSize({static_cast<float>(c.width), static_cast<float>(c.height)});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0, 0});
  ImGui::Begin("canvas", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoSavedSettings |
                   ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoNavInputs);
  ImGui::InvisibleButton("photo", {std::max(1.f, static_cast<float>(c.width)),
                                   std::max(1.f, static_cast<float>(c.height))});
  const bool is_over = ImGui::IsItemHovered();
  const cv::Point2d mouse(ImGui::GetIO().MousePos.x, ImGui::GetIO().MousePos.y);
  state.cursor_px.reset();
  if (d.photo) {
    if (is_over) state.cursor_px = photo_from_screen(state.view, c, mouse);
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const Painter paint(list, state);
    if (d.survey) {
      const Survey& s = *d.survey;
      if (state.layers.grid && state.step != Step::straighten) draw_grid(paint, s);
      if (state.layers.outline && !s.rectification.outline_is_frame)
        paint.ring(s.rectification.outline_px.outer, colour_u32(state.theme.accent),
                   state.theme.px(1.5f));
      if (state.step == Step::survey || state.step == Step::notes)
        draw_findings(list, paint, s, state);
      if (state.step == Step::look)
        if (const LookPlace* place = current_place(desk)) draw_place(paint, *place, state.theme);
      draw_scale_bar(list, s, state);
    }
    if (state.layers.notes) draw_notes(list, paint, desk.document()->notes, state.theme);
    handle_corners(desk, state, actions, list, paint, photo_from_screen(state.view, c, mouse),
                   is_over);
    draw_tool(desk, state, paint, list);
    handle_mouse(state, actions, is_over, mouse, d.photo->size_px());
  }
  ImGui::End();
  ImGui::PopStyleVar();
}

}  // namespace verdigrid
