// Pairs of points set by hand: the photo before at the left, the open one at the right, each with a
// view of its own.

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include <algorithm>
#include <cmath>

#include "viewer/canvas_painter.h"
#include "viewer/panels.h"

namespace verdigrid {

namespace {

constexpr double k_wheel_step = 1.2, k_key_zoom = 1.25, k_key_pan_px = 60;
constexpr float k_drag_from = 4;

cv::Size photo_px(const Desk& desk, size_t half) {
  const Derived& d = desk.derived();
  return half == 0 ? d.earlier->photo.size_px() : d.photo->size_px();
}

void place(const Desk& desk, ViewerState& state, Actions& actions, size_t half, cv::Point2d p_px) {
  PairingView& pairing = state.pairing;
  const cv::Size size = photo_px(desk, half);
  if (!cv::Rect2d(-0.5, -0.5, size.width, size.height).contains(p_px)) return;
  if (half == 0) {
    pairing.first_px = p_px;
    pairing.active = 1;
    return;
  }
  if (!pairing.first_px) return;  // the photo before comes first
  SetPairs set{desk.document()->compare_pairs, "Point pair by hand"};
  set.pairs.push_back({*pairing.first_px, p_px});
  actions.push_back(std::move(set));
  pairing.first_px.reset();
  pairing.active = 0;
}

// A ring with a dot, and the pair's number.
void draw_point(ImDrawList& list, const Theme& t, ImVec2 at, const std::string& text) {
  list.AddCircle(at, t.px(9), IM_COL32(0, 0, 0, 200), 32, t.px(4));
  list.AddCircle(at, t.px(9), IM_COL32(255, 214, 102, 255), 32, t.px(2));
  list.AddCircleFilled(at, t.px(1.5f), IM_COL32(255, 214, 102, 255), 8);
  const ImVec2 p{at.x + t.px(12), at.y - t.px(9)}, size = ImGui::CalcTextSize(text.c_str());
  list.AddRectFilled({p.x - 3, p.y - 1}, {p.x + size.x + 3, p.y + size.y + 1},
                     IM_COL32(0, 0, 0, 170), 3);
  list.AddText(p, IM_COL32(255, 255, 255, 255), text.c_str());
}

void draw_half(const Desk& desk, const ViewerState& state, ImDrawList& list, size_t half) {
  const PairingView& pairing = state.pairing;
  const Theme& t = state.theme;
  const cv::Rect2d canvas = pairing_half(state, half);
  const auto at = [&](cv::Point2d p_px) {
    const cv::Point2d p = screen_from_photo(pairing.views[half], canvas, p_px);
    return ImVec2(static_cast<float>(p.x), static_cast<float>(p.y));
  };
  const ImVec2 a{static_cast<float>(canvas.x), static_cast<float>(canvas.y)},
      b{static_cast<float>(canvas.br().x), static_cast<float>(canvas.br().y)};
  list.PushClipRect(a, b, true);
  const auto& pairs = desk.document()->compare_pairs;
  for (size_t i = 0; i < pairs.size(); ++i)
    draw_point(list, t, at(half == 0 ? pairs[i].first_px : pairs[i].second_px),
               std::to_string(i + 1));
  if (half == 0 && pairing.first_px)
    draw_point(list, t, at(*pairing.first_px), std::to_string(pairs.size() + 1));
  if (pairing.active == half)
    list.AddRect({a.x + 1, a.y + 1}, {b.x - 1, b.y - 1}, colour_u32(k_accent_on_photo), 0, 0,
                 t.px(2));
  const ImVec2 middle{(a.x + b.x) / 2, (a.y + b.y) / 2};
  const float arm = t.px(8);
  if (pairing.active == half) {
    list.AddLine({middle.x - arm, middle.y}, {middle.x + arm, middle.y},
                 IM_COL32(255, 255, 255, 150), t.px(1));
    list.AddLine({middle.x, middle.y - arm}, {middle.x, middle.y + arm},
                 IM_COL32(255, 255, 255, 150), t.px(1));
  }
  const char* word = half == 0 ? "before" : "after";
  const ImVec2 p{a.x + t.px(14), a.y + t.px(12)}, size = ImGui::CalcTextSize(word);
  list.AddRectFilled({p.x - 3, p.y - 1}, {p.x + size.x + 3, p.y + size.y + 1},
                     IM_COL32(0, 0, 0, 170), 3);
  list.AddText(p, IM_COL32(255, 255, 255, 255), word);
  list.PopClipRect();
}

}  // namespace

bool is_pairing(const Desk& desk, const ViewerState& state) {
  return state.step == Step::recheck && state.pairing.is_on && desk.derived().earlier &&
         desk.derived().photo;
}

cv::Rect2d pairing_half(const ViewerState& state, size_t half) {
  cv::Rect2d r = state.canvas;
  r.width = std::max(1.0, r.width / 2);
  if (half == 1) r.x += r.width;
  return r;
}

void handle_pairing(const Desk& desk, ViewerState& state, Actions& actions, bool is_over) {
  PairingView& pairing = state.pairing;
  const ImGuiIO& io = ImGui::GetIO();
  const cv::Point2d mouse(io.MousePos.x, io.MousePos.y);
  for (size_t half = 0; half < 2; ++half) {
    const cv::Rect2d canvas = pairing_half(state, half);
    View& view = pairing.views[half];
    if (pairing.needs_fit) view = fitted(canvas, photo_px(desk, half), view.quarter_turns);
    const float drag_from = state.theme.px(k_drag_from);
    const cv::Point2d pressed(io.MouseClickedPos[0].x, io.MouseClickedPos[0].y);
    if (is_over && canvas.contains(mouse) && io.MouseWheel != 0)
      view = zoomed(view, canvas, mouse, std::pow(k_wheel_step, io.MouseWheel));
    if (ImGui::IsItemActive() && canvas.contains(pressed) && ImGui::IsMouseDragging(0, drag_from))
      view = moved(view, {io.MouseDelta.x, io.MouseDelta.y});
    if (is_over && canvas.contains(mouse) && ImGui::IsMouseReleased(0) &&
        io.MouseDragMaxDistanceSqr[0] < drag_from * drag_from)
      place(desk, state, actions, half, photo_from_screen(view, canvas, mouse));
    view = kept_in_sight(view, photo_px(desk, half));
    draw_half(desk, state, *ImGui::GetWindowDrawList(), half);
  }
  pairing.needs_fit = false;
}

void take_pairing_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  PairingView& pairing = state.pairing;
  const auto held = [&](int key) { return was_pressed(state, key, Held::repeats) ? 1.0 : 0.0; };
  if (was_pressed(state, GLFW_KEY_X)) pairing.active = 1 - pairing.active;
  if (was_pressed(state, GLFW_KEY_F)) pairing.needs_fit = true;
  const cv::Rect2d canvas = pairing_half(state, pairing.active);
  View& view = pairing.views[pairing.active];
  const double closer = held(GLFW_KEY_PAGE_UP) - held(GLFW_KEY_PAGE_DOWN);
  if (closer != 0)
    view = zoomed(view, canvas, (canvas.tl() + canvas.br()) * 0.5, std::pow(k_key_zoom, closer));
  const cv::Point2d move(held(GLFW_KEY_LEFT) - held(GLFW_KEY_RIGHT),
                         held(GLFW_KEY_UP) - held(GLFW_KEY_DOWN));
  if (move != cv::Point2d(0, 0)) view = moved(view, move * k_key_pan_px);
  if (was_pressed(state, GLFW_KEY_SPACE))
    place(desk, state, actions, pairing.active, view.centre_px);
  if (was_pressed(state, GLFW_KEY_BACKSPACE) && !desk.document()->compare_pairs.empty()) {
    SetPairs set{desk.document()->compare_pairs, "Remove a point pair"};
    set.pairs.pop_back();
    actions.push_back(std::move(set));
  }
}

}  // namespace verdigrid
