// The points of the chosen zone: dragged, added between two others, taken out.

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>

#include "viewer/canvas_painter.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr float k_point_radius = 6, k_between_radius = 4, k_hot_reach = 11;
constexpr double k_key_step = 2;  // screen px that an arrow key moves a point
constexpr size_t k_least_points = 3;

// Where the mouse is: on a point, or between that point and the next.
struct Hot {
  int point = -1;
  bool is_between = false;
};

const Zone* chosen_zone(const Desk& desk, const ViewerState& state) {
  const Layout* layout = desk.derived().layout.get();
  if (state.step != Step::layout || state.tool != Tool::look || !layout || !desk.derived().survey)
    return nullptr;
  for (const Zone& zone : layout->zones)
    if (zone.name == state.layout.selected_zone &&
        (!zone.side || *zone.side == desk.derived().survey->rectification.side))
      return &zone;
  return nullptr;
}

Ring outline_px(const Desk& desk, const Zone& zone) {
  Ring ring = zone.polygon.outer;
  for (cv::Point2d& p : ring) p = photo_point(desk.derived().survey->rectification, p);
  return ring;
}

cv::Point2d middle_after(const Ring& ring, int i) {
  const auto at = static_cast<size_t>(i);
  return (ring[at] + ring[(at + 1) % ring.size()]) * 0.5;
}

Hot hot_at(const CanvasPainter& paint, const Ring& ring) {
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const auto is_near = [&](cv::Point2d p_px) {
    const ImVec2 p = paint.at(p_px);
    return std::hypot(p.x - mouse.x, p.y - mouse.y) < paint.state().theme.px(k_hot_reach);
  };
  const int n = static_cast<int>(ring.size());
  for (int i = 0; i < n; ++i)
    if (is_near(ring[static_cast<size_t>(i)])) return {i, false};
  for (int i = 0; i < n; ++i)
    if (is_near(middle_after(ring, i))) return {i, true};
  return {};
}

void reshape(const Desk& desk, const Zone& zone, const Ring& ring_px, Actions& actions,
             const std::string& joins = {}) {
  ChangeZone change{zone.name, zone, joins};
  change.zone.polygon.outer.clear();
  for (const cv::Point2d p : ring_px)
    change.zone.polygon.outer.push_back(board_point(desk.derived().survey->rectification, p));
  actions.push_back(std::move(change));
}

void remove_point(const Desk& desk, ViewerState& state, const Zone& zone, Ring ring, int point,
                  Actions& actions) {
  state.layout.selected_point = -1;
  if (ring.size() <= k_least_points) return;
  ring.erase(ring.begin() + point);
  reshape(desk, zone, ring, actions);
}

void draw_points(const CanvasPainter& paint, const Ring& ring, Hot hot) {
  const ViewerState& state = paint.state();
  const Theme& t = state.theme;
  const ImU32 dark = IM_COL32(0, 0, 0, 190), light = IM_COL32(255, 255, 255, 255);
  for (int i = 0; i < static_cast<int>(ring.size()); ++i) {
    const ImVec2 between = paint.at(middle_after(ring, i));
    const bool is_hot_between = hot.is_between && hot.point == i;
    paint.list().AddCircleFilled(between, t.px(k_between_radius + 1.5f), dark, 16);
    paint.list().AddCircle(between, t.px(k_between_radius),
                           is_hot_between ? light : colour_u32(k_accent_on_photo), 16, t.px(1.5f));
    const ImVec2 p = paint.at(ring[static_cast<size_t>(i)]);
    const bool is_hot = (!hot.is_between && hot.point == i) || state.layout.selected_point == i;
    paint.list().AddCircleFilled(p, t.px(k_point_radius + 2), dark, 20);
    paint.list().AddCircleFilled(p, t.px(k_point_radius),
                                 is_hot ? light : colour_u32(k_accent_on_photo), 20);
  }
}

}  // namespace

bool handle_zone_points(const Desk& desk, ViewerState& state, Actions& actions,
                        const CanvasPainter& paint, cv::Point2d mouse_px, bool is_over) {
  LayoutDrafts& d = state.layout;
  const Zone* zone = chosen_zone(desk, state);
  if (!zone) {
    d.dragged_point = d.selected_point = -1;
    return false;
  }
  const Ring now = outline_px(desk, *zone);
  const bool is_dragging = d.dragged_point >= 0;
  const Hot hot = is_over && !is_dragging ? hot_at(paint, now) : Hot{};
  if (hot.point >= 0 && ImGui::IsMouseClicked(0)) {
    d.points_px = now;
    d.dragged_point = hot.point;
    if (hot.is_between) {
      d.dragged_point = hot.point + 1;
      d.points_px.insert(d.points_px.begin() + d.dragged_point, middle_after(now, hot.point));
    }
    d.selected_point = d.dragged_point;
  }
  if (hot.point >= 0 && !hot.is_between && ImGui::IsMouseClicked(1))
    remove_point(desk, state, *zone, now, hot.point, actions);
  if (d.dragged_point >= 0) {
    if (ImGui::IsMouseDragging(0, state.theme.px(2)))
      d.points_px[static_cast<size_t>(d.dragged_point)] = mouse_px;
    paint.ring(d.points_px, IM_COL32(255, 255, 255, 255), state.theme.px(2));
    draw_points(paint, d.points_px, {d.dragged_point, false});
    if (ImGui::IsMouseReleased(0)) {
      d.dragged_point = -1;
      if (d.points_px != now) reshape(desk, *zone, d.points_px, actions);
    }
    return true;
  }
  draw_points(paint, now, hot);
  if (hot.point >= 0)
    wrapped_tooltip(state.theme, hot.is_between
                                     ? "Drag to add a point here."
                                     : "Drag to move it; the right button takes it out.");
  return hot.point >= 0;
}

bool take_zone_point_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  LayoutDrafts& d = state.layout;
  const Zone* zone = chosen_zone(desk, state);
  if (!zone) return false;
  Ring ring = outline_px(desk, *zone);
  const int n = static_cast<int>(ring.size());
  const int by = was_pressed(state, GLFW_KEY_RIGHT_BRACKET, Held::repeats) -
                 was_pressed(state, GLFW_KEY_LEFT_BRACKET, Held::repeats);
  if (by != 0) d.selected_point = d.selected_point < 0 ? 0 : (d.selected_point + by + n) % n;
  if (d.selected_point < 0 || d.selected_point >= n) return false;
  const auto at = static_cast<size_t>(d.selected_point);
  if (was_pressed(state, GLFW_KEY_INSERT)) {
    ring.insert(ring.begin() + d.selected_point + 1, middle_after(ring, d.selected_point));
    ++d.selected_point;
    reshape(desk, *zone, ring, actions);
    return true;
  }
  if (was_pressed(state, GLFW_KEY_DELETE)) {
    remove_point(desk, state, *zone, ring, d.selected_point, actions);
    return true;
  }
  const auto held = [&](int key) { return was_pressed(state, key, Held::repeats) ? 1.0 : 0.0; };
  const cv::Point2d move(held(GLFW_KEY_RIGHT) - held(GLFW_KEY_LEFT),
                         held(GLFW_KEY_DOWN) - held(GLFW_KEY_UP));
  if (move == cv::Point2d(0, 0)) return false;
  const cv::Point2d on_screen = screen_from_photo(state.view, state.canvas, ring[at]);
  ring[at] = photo_from_screen(state.view, state.canvas, on_screen + move * k_key_step);
  reshape(desk, *zone, ring, actions, fmt::format("point {} of {}", at, zone->name));
  return true;
}

}  // namespace verdigrid
