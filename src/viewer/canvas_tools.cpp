// The tools of the canvas: measuring, notes, brush, outlines, zones, stamp.

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <cmath>

#include "layout/package_table.h"
#include "report/figures.h"
#include "viewer/canvas_painter.h"
#include "viewer/panels.h"

namespace verdigrid {

namespace {

constexpr double k_wheel_step = 1.2;
constexpr float k_close_radius = 12, k_drag_from = 4;
constexpr ImU32 k_white = IM_COL32(255, 255, 255, 255);

using Points = std::vector<cv::Point2d>;

bool paints(Tool tool) {
  return tool == Tool::brush || tool == Tool::eraser || tool == Tool::point;
}
bool makes_outline(Tool tool) {
  return tool == Tool::outline || tool == Tool::draw || tool == Tool::zone_outline ||
         tool == Tool::area;
}

double brush_radius_px(const ViewerState& state) {
  return state.theme.px(static_cast<float>(state.brush.radius_screen)) / state.view.scale;
}

void finish_note(ViewerState& state, Actions& actions, NoteKind kind) {
  Note n;
  n.kind = kind;
  n.points_px = std::exchange(state.drafts.tool_px, {});
  actions.push_back(AddNote{n});
  state.step = Step::notes;
  state.tool = Tool::look;
}

void finish_stroke(ViewerState& state, Actions& actions) {
  Points stroke = std::exchange(state.drafts.tool_px, {});
  if (stroke.empty()) return;
  if (state.tool == Tool::point) {
    actions.push_back(PointAt{std::move(stroke), std::nullopt});
    state.tool = Tool::look;
  } else {
    actions.push_back(BrushResidue{state.tool == Tool::brush ? EditKind::draw : EditKind::erase,
                                   std::move(stroke), brush_radius_px(state), state.brush.residue});
  }
}

// A zone's name that is not taken yet.
std::string zone_name(const Desk& desk, const ViewerState& state) {
  if (!state.layout.zone_name.empty()) return state.layout.zone_name;
  const Layout* layout = desk.derived().layout.get();
  for (size_t n = 1;; ++n) {
    const std::string name = fmt::format("zone {}", n);
    if (!layout || std::none_of(layout->zones.begin(), layout->zones.end(),
                                [&](const Zone& z) { return z.name == name; }))
      return name;
  }
}

void add_zone(const Desk& desk, ViewerState& state, Actions& actions, Ring ring) {
  Zone zone;
  zone.name = zone_name(desk, state);
  zone.polygon.outer = std::move(ring);
  state.layout.selected_zone = zone.name;
  state.layout.zone_name.clear();
  actions.push_back(AddZone{std::move(zone)});
}

Ring on_board(const Desk& desk, const Points& points_px) {
  Ring ring;
  for (const cv::Point2d p : points_px)
    ring.push_back(board_point(desk.derived().survey->rectification, p));
  return ring;
}

void stamp_part(const Desk& desk, ViewerState& state, Actions& actions, cv::Point2d p_px) {
  const LayoutDrafts& d = state.layout;
  const Package& package = package_table().at(d.package);
  const Survey& s = *desk.derived().survey;
  AddPart a;
  a.part =
      part_of(package, board_point(s.rectification, p_px), d.rotation_deg, s.rectification.side);
  a.part.designator = d.designator;
  a.array.columns = d.columns;
  a.array.rows = d.rows;
  a.array.column_step = {d.column_step, 0};
  a.array.row_step = {0, d.row_step};
  state.layout.selected_part = d.designator;
  actions.push_back(std::move(a));
}

void flood_zone(const Desk& desk, ViewerState& state, Actions& actions, cv::Point2d p_px) {
  const Survey& s = *desk.derived().survey;
  const auto name = square_at(s.zones.grid, board_point(s.rectification, p_px));
  const auto square = name ? square_named(s.zones.grid, *name) : std::nullopt;
  if (!square) return;
  const std::string zone = zone_name(desk, state);
  state.layout.selected_zone = zone;
  state.layout.zone_name.clear();
  actions.push_back(AddSquaresZone{zone, *square});
}

bool is_on_first(const ViewerState& state, cv::Point2d p_px) {
  const Points& points = state.drafts.tool_px;
  return points.size() >= 3 &&
         cv::norm(screen_from_photo(state.view, state.canvas, points.front()) -
                  screen_from_photo(state.view, state.canvas, p_px)) <
             state.theme.px(k_close_radius);
}

// A finding at this place, 0 for none.
int finding_at(const Desk& desk, cv::Point2d p_px) {
  const Survey* s = desk.derived().survey.get();
  const cv::Point p(cvRound(p_px.x), cvRound(p_px.y));
  if (!s || s->findings.finding_of_px.empty() || !cv::Rect({0, 0}, s->photo_size_px).contains(p))
    return 0;
  return s->findings.finding_of_px.at<std::uint16_t>(p);
}

void select_at(const Desk& desk, ViewerState& state, Actions& actions, cv::Point2d p_px) {
  if (const KeptCloseUp* close_up = close_up_at(desk, state, p_px))
    return actions.push_back(OpenKeptPhoto{close_up->photo});
  if (state.step == Step::survey) {
    if (const int id = finding_at(desk, p_px)) select_finding(desk, state, actions, id, Go::stay);
    return;
  }
  const Layout* layout = desk.derived().layout.get();
  if (state.step != Step::layout || !layout || !desk.derived().survey) return;
  const cv::Point2d p = board_point(desk.derived().survey->rectification, p_px);
  state.layout.selected_part.clear();
  state.layout.selected_zone.clear();
  for (const Part& part : layout->parts)
    if (part.side == desk.derived().survey->rectification.side && part.has_body() &&
        contains({body_ring(part), {}}, p))
      state.layout.selected_part = part.designator;
  if (!state.layout.selected_part.empty()) return;
  double smallest = 0;
  for (const Zone& zone : layout->zones)
    if (const double a = area(zone.polygon);
        contains(zone.polygon, p) && (smallest == 0 || a < smallest))
      smallest = a, state.layout.selected_zone = zone.name;
}

std::string length_words(const Desk& desk, cv::Point2d a, cv::Point2d b) {
  const Rectification* r = desk.derived().rectification.get();
  if (!r || !r->has_scale()) return fmt::format("{:.1f} px", cv::norm(b - a));
  const double length = cv::norm(board_point(*r, b) - board_point(*r, a));
  return fmt::format("{:.2f} mm (\u00b1 {:.2f})", length, 1.96 * r->length_rel_sd * length);
}

std::string area_words(const Desk& desk, const Points& points) {
  const Rectification* r = desk.derived().rectification.get();
  if (!r || !r->has_scale()) return fmt::format("{:.0f} px\u00b2", std::abs(signed_area(points)));
  Ring ring;
  for (const cv::Point2d p : points) ring.push_back(board_point(*r, p));
  const double a = std::abs(signed_area(ring));
  return fmt::format("{} mm\u00b2 (\u00b1 {:.2g})", figure(a), 2 * 1.96 * r->length_rel_sd * a);
}

void draw_stroke(const CanvasPainter& paint, ImU32 colour) {
  const ViewerState& state = paint.state();
  const Points& points = state.drafts.tool_px;
  const float width = state.tool == Tool::point
                          ? state.theme.px(6)
                          : 2 * state.theme.px(static_cast<float>(state.brush.radius_screen));
  for (size_t i = 0; i + 1 < points.size(); ++i)
    paint.list().AddLine(paint.at(points[i]), paint.at(points[i + 1]), colour, width);
  for (const cv::Point2d p : points)
    paint.list().AddCircleFilled(paint.at(p), width / 2, colour, 24);
}

void draw_brush_cursor(const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  if (!state.cursor_px || (state.tool != Tool::brush && state.tool != Tool::eraser)) return;
  const float r = state.theme.px(static_cast<float>(state.brush.radius_screen));
  paint.list().AddCircle(paint.at(*state.cursor_px), r, IM_COL32(0, 0, 0, 200), 32, 3);
  paint.list().AddCircle(paint.at(*state.cursor_px), r, k_white, 32, 1.5f);
}

void draw_stamp_ghost(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  if (state.tool != Tool::stamp || !state.cursor_px || !desk.derived().survey) return;
  const Rectification& r = desk.derived().survey->rectification;
  const Part part = part_of(package_table().at(state.layout.package),
                            board_point(r, *state.cursor_px), state.layout.rotation_deg, r.side);
  Ring ring = body_ring(part);
  for (cv::Point2d& p : ring) p = photo_point(r, p);
  paint.ring(ring, k_white, state.theme.px(1.5f));
  for (const Joint& joint : part.joints)
    paint.list().AddCircle(paint.at(photo_point(r, joint.centre)), state.theme.px(3), k_white, 12);
}

// The middle of the view, where a key places a point.
void draw_cross(const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  if (state.tool == Tool::look || state.cursor_px) return;
  const ImVec2 c = paint.at(state.view.centre_px);
  const float arm = state.theme.px(12);
  for (const auto& [width, colour] : {std::pair(state.theme.px(4), IM_COL32(0, 0, 0, 180)),
                                      std::pair(state.theme.px(1.5f), k_white)}) {
    paint.list().AddLine({c.x - arm, c.y}, {c.x + arm, c.y}, colour, width);
    paint.list().AddLine({c.x, c.y - arm}, {c.x, c.y + arm}, colour, width);
  }
}

}  // namespace

void close_tool_outline(const Desk& desk, ViewerState& state, Actions& actions) {
  Points& points = state.drafts.tool_px;
  if (points.size() < 3) return;
  if (state.tool == Tool::area) {
    state.drafts.is_closed = true;
    return;
  }
  if (state.tool == Tool::outline) return finish_note(state, actions, NoteKind::outline);
  Points outline = std::exchange(points, {});
  if (state.tool == Tool::draw)
    actions.push_back(DrawResidue{std::move(outline), state.brush.residue});
  else if (desk.derived().survey)
    add_zone(desk, state, actions, on_board(desk, outline));
}

void place_tool_point(const Desk& desk, ViewerState& state, Actions& actions, cv::Point2d p_px) {
  Points& points = state.drafts.tool_px;
  const bool is_full = (state.tool == Tool::measure && points.size() == 2) ||
                       (state.tool == Tool::area && state.drafts.is_closed);
  if (is_full) points.clear(), state.drafts.is_closed = false;
  if (makes_outline(state.tool) && is_on_first(state, p_px))
    return close_tool_outline(desk, state, actions);
  points.push_back(p_px);
  switch (state.tool) {
    case Tool::point:
    case Tool::brush:
    case Tool::eraser:
      return finish_stroke(state, actions);
    case Tool::pin:
      return finish_note(state, actions, NoteKind::pin);
    case Tool::arrow:
      if (points.size() == 2) finish_note(state, actions, NoteKind::arrow);
      return;
    case Tool::split:
      if (points.size() == 2) {
        actions.push_back(SplitFinding{points[0], points[1]});
        points.clear();
      }
      return;
    case Tool::zone_rectangle:
      if (points.size() == 2 && desk.derived().survey) {
        const Ring corners = on_board(desk, points);
        points.clear();
        add_zone(desk, state, actions, rectangle_ring(corners[0], corners[1]));
      }
      return;
    case Tool::zone_squares:
      points.clear();
      if (desk.derived().survey) flood_zone(desk, state, actions, p_px);
      return;
    case Tool::stamp:
      points.clear();
      if (desk.derived().survey) stamp_part(desk, state, actions, p_px);
      return;
    default:
      return;
  }
}

void draw_tool(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  const Points& points = state.drafts.tool_px;
  draw_brush_cursor(paint);
  draw_stamp_ghost(desk, paint);
  draw_cross(paint);
  if (points.empty()) return;
  if (paints(state.tool)) {
    const ImU32 colour = state.tool == Tool::brush
                             ? colour_u32(residue_colour(state.brush.residue), 0.6f)
                             : IM_COL32(255, 255, 255, 120);
    return draw_stroke(paint, colour);
  }
  const std::optional<cv::Point2d> end = state.cursor_px;
  const bool is_open = !(state.tool == Tool::measure && points.size() == 2) &&
                       !state.drafts.is_closed && state.tool != Tool::look;
  if (state.tool == Tool::zone_rectangle && end && desk.derived().survey) {
    const Rectification& r = desk.derived().survey->rectification;
    Ring ring = rectangle_ring(board_point(r, points[0]), board_point(r, *end));
    for (cv::Point2d& p : ring) p = photo_point(r, p);
    return paint.ring(ring, k_white, state.theme.px(2));
  }
  for (size_t i = 0; i + 1 < points.size(); ++i)
    paint.line(points[i], points[i + 1], k_white, state.theme.px(2));
  if (state.drafts.is_closed) paint.line(points.back(), points.front(), k_white, state.theme.px(2));
  if (end && is_open) paint.line(points.back(), *end, k_white, state.theme.px(1.5f));
  for (const cv::Point2d p : points)
    paint.list().AddCircleFilled(paint.at(p), state.theme.px(4), k_white, 12);
  if (makes_outline(state.tool) && points.size() >= 3 && is_open)
    paint.list().AddCircle(paint.at(points.front()), state.theme.px(k_close_radius), k_white, 24,
                           state.theme.px(1.5f));
  std::string text;
  if (state.tool == Tool::measure && (points.size() == 2 || end))
    text = length_words(desk, points[0], points.size() == 2 ? points[1] : *end);
  if (state.tool == Tool::area && points.size() >= 2) {
    Points all = points;
    if (is_open && end) all.push_back(*end);
    if (all.size() >= 3) text = area_words(desk, all);
  }
  if (text.empty()) return;
  const ImVec2 at = paint.at(is_open && end ? *end : points.back());
  paint.label({at.x + 14, at.y + 10}, text);
}

void handle_canvas_mouse(const Desk& desk, ViewerState& state, Actions& actions, bool is_over) {
  // The tools work in the px of the open photo, and these are another's.
  if (compared_now(desk, state)) state.tool = Tool::look, state.drafts.tool_px.clear();
  const ImGuiIO& io = ImGui::GetIO();
  const cv::Point2d mouse(io.MousePos.x, io.MousePos.y);
  if (is_over && ImGui::IsMouseClicked(0)) state.keys_in_panel = false;
  if (is_over && io.MouseWheel != 0)
    state.view = zoomed(state.view, state.canvas, mouse, std::pow(k_wheel_step, io.MouseWheel));
  const float drag_from = state.theme.px(k_drag_from);
  const bool is_active = ImGui::IsItemActive(),
             is_free = state.drafts.dragged_corner < 0 && state.layout.dragged_point < 0;
  const cv::Point2d mouse_px = photo_from_screen(state.view, state.canvas, mouse);
  const bool pans_by_other =
      ImGui::IsMouseDragging(1, drag_from) || ImGui::IsMouseDragging(2, drag_from);
  const bool drags = is_active && is_free && ImGui::IsMouseDragging(0, drag_from);
  if (drags && paints(state.tool)) {
    Points& points = state.drafts.tool_px;
    if (points.empty())
      points.push_back(photo_from_screen(state.view, state.canvas,
                                         {io.MouseClickedPos[0].x, io.MouseClickedPos[0].y}));
    points.push_back(mouse_px);
  } else if (drags || (is_active && pans_by_other)) {
    state.view = moved(state.view, {io.MouseDelta.x, io.MouseDelta.y});
  }
  const bool is_click = is_over && is_free && ImGui::IsMouseReleased(0) &&
                        io.MouseDragMaxDistanceSqr[0] < drag_from * drag_from;
  if (is_click && state.tool != Tool::look)
    place_tool_point(desk, state, actions, mouse_px);
  else if (is_click)
    select_at(desk, state, actions, mouse_px);
  else if (ImGui::IsMouseReleased(0) && paints(state.tool))
    finish_stroke(state, actions);
  if (desk.derived().photo) state.view = kept_in_sight(state.view, desk.derived().photo->size_px());
}

}  // namespace verdigrid
