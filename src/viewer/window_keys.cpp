#include "viewer/window_keys.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include <algorithm>

#include "viewer/canvas_painter.h"
#include "viewer/panels.h"
#include "viewer/steps.h"

namespace verdigrid {

namespace {

constexpr double k_key_zoom = 1.25;

void take_window_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  const bool is_shift =
      std::any_of(state.keys.begin(), state.keys.end(), [](const KeyPress& k) { return k.shift; });
  const auto pressed = [&](int key) { return was_pressed(state, key); };
  if (pressed(GLFW_KEY_O)) state.picker.open_for(PickFor::photo);
  if (pressed(GLFW_KEY_S) && desk.document())
    actions.push_back(state.step == Step::recheck ? DeskAction(SaveComparison{})
                                                  : DeskAction(SaveSurvey{}));
  if (pressed(GLFW_KEY_R) && desk.document()) actions.push_back(SaveReport{ReportOf::survey});
  if (pressed(GLFW_KEY_P) && desk.document()) actions.push_back(SaveBenchSheet{});
  if (pressed(GLFW_KEY_Z)) actions.push_back(is_shift ? DeskAction(Redo{}) : DeskAction(Undo{}));
  if (pressed(GLFW_KEY_Y)) actions.push_back(Redo{});
  if (pressed(GLFW_KEY_W)) actions.push_back(CloseWork{});
  if (pressed(GLFW_KEY_Q)) state.wants_to_quit = true;
  if (pressed(GLFW_KEY_PAGE_DOWN) && desk.document()) go_to_next_step(state, 1);
  if (pressed(GLFW_KEY_PAGE_UP) && desk.document()) go_to_next_step(state, -1);
  const int tab = pressed(GLFW_KEY_RIGHT) - pressed(GLFW_KEY_LEFT);
  if (tab != 0 && state.tabs.count > 0)
    state.tabs.wanted = (state.tabs.open + tab + state.tabs.count) % state.tabs.count;
  const float step = pressed(GLFW_KEY_EQUAL) || pressed(GLFW_KEY_KP_ADD)        ? 1.1f
                     : pressed(GLFW_KEY_MINUS) || pressed(GLFW_KEY_KP_SUBTRACT) ? 1 / 1.1f
                                                                                : 1;
  if (step != 1)
    state.zoom = std::clamp(state.zoom * step, 0.7f, 2.5f), state.wants_new_fonts = true;
  if (pressed(GLFW_KEY_T))
    state.theme.tone = state.theme.tone == Tone::dark ? Tone::light : Tone::dark,
    state.wants_new_fonts = true;
}

void take_tool(ViewerState& state, Tool tool) {
  put_tool_down(state);
  state.tool = tool;
}

void zoom_by(ViewerState& state, double factor) {
  const cv::Point2d middle = (state.canvas.tl() + state.canvas.br()) * 0.5;
  state.view = zoomed(state.view, state.canvas, middle, factor);
}

// Keys that mean something else in another step.
void take_step_keys(const Desk& desk, ViewerState& state, Actions& actions, bool is_shift) {
  const auto pressed = [&](int key, Held held = Held::once) {
    return was_pressed(state, key, held);
  };
  const StepRow& row = row_of(state.step);
  if (row.letters == LetterKeys::general) {
    if (pressed(GLFW_KEY_J, Held::repeats)) select_next_finding(desk, state, actions, 1);
    if (pressed(GLFW_KEY_K, Held::repeats)) select_next_finding(desk, state, actions, -1);
    if (pressed(GLFW_KEY_M) && !is_shift) take_tool(state, Tool::measure);
    if (pressed(GLFW_KEY_I)) take_tool(state, Tool::area);
    if (pressed(GLFW_KEY_P) && state.step != Step::layout) {
      state.step = Step::notes;
      take_tool(state, Tool::pin);
    }
  }
  if (row.take_keys) row.take_keys(desk, state, actions);
  // A tool works without a mouse too: points are placed in the middle of the view.
  const bool has_tool = state.tool != Tool::look && !ImGui::GetIO().NavVisible;
  if (has_tool && pressed(GLFW_KEY_SPACE))
    place_tool_point(desk, state, actions, state.cursor_px.value_or(state.view.centre_px));
  if (has_tool && (pressed(GLFW_KEY_ENTER) || pressed(GLFW_KEY_KP_ENTER)))
    close_tool_outline(desk, state, actions);
}

void take_canvas_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  const bool is_shift =
      std::any_of(state.keys.begin(), state.keys.end(), [](const KeyPress& k) { return k.shift; });
  const auto pressed = [&](int key, Held held = Held::once) {
    return was_pressed(state, key, held);
  };
  for (size_t i = 0; i < step_table().size(); ++i)
    if (pressed(key_of_step(i))) go_to_step(state, step_table()[i].step);
  if (pressed(GLFW_KEY_ESCAPE)) put_tool_down(state);
  if (state.step == Step::survey && state.relabels) return take_review_keys(desk, state, actions);
  if (pressed(GLFW_KEY_F)) state.needs_fit = true;
  if (pressed(GLFW_KEY_D) && state.step != Step::bench) state.view.scale = 1;
  if (pressed(GLFW_KEY_R)) state.view = turned(state.view, 1);
  if (pressed(GLFW_KEY_G)) state.layers.grid = !state.layers.grid;
  if (pressed(GLFW_KEY_H)) state.layers.residue = !state.layers.residue;
  if (pressed(GLFW_KEY_V)) state.layers.unseen = !state.layers.unseen;
  if (pressed(GLFW_KEY_L)) state.layers.loupe = !state.layers.loupe;
  if (pressed(GLFW_KEY_PAGE_UP, Held::repeats)) zoom_by(state, k_key_zoom);
  if (pressed(GLFW_KEY_PAGE_DOWN, Held::repeats)) zoom_by(state, 1 / k_key_zoom);
  const bool had_point = state.step == Step::layout && state.layout.selected_point >= 0;
  take_step_keys(desk, state, actions, is_shift);
  if (state.keys_in_panel || had_point || is_pairing(desk, state)) return;
  constexpr double k_pan_px = 60;
  const double x = pressed(GLFW_KEY_LEFT, Held::repeats) - pressed(GLFW_KEY_RIGHT, Held::repeats),
               y = pressed(GLFW_KEY_UP, Held::repeats) - pressed(GLFW_KEY_DOWN, Held::repeats);
  if (x != 0 || y != 0) state.view = moved(state.view, {x * k_pan_px, y * k_pan_px});
}

}  // namespace

void put_tool_down(ViewerState& state) {
  state.tool = Tool::look;
  state.drafts.tool_px.clear();
  state.drafts.is_closed = false;
  state.relabels = false;
  state.merge_from = 0;
  state.layout.selected_point = state.layout.dragged_point = -1;
  state.pairing.is_on = false;
  state.keys_in_panel = false;
}

bool was_pressed(const ViewerState& state, int key, Held held) {
  return std::any_of(state.keys.begin(), state.keys.end(), [&](const KeyPress& k) {
    return k.key == key && (!k.repeats || held == Held::repeats);
  });
}

void take_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  const ImGuiIO& io = ImGui::GetIO();
  if (io.WantTextInput) return;
  if (was_pressed(state, GLFW_KEY_F1)) state.help_is_open = !state.help_is_open;
  if (state.help_is_open || state.picker.is_open) return;
  if (std::any_of(state.keys.begin(), state.keys.end(),
                  [](const KeyPress& k) { return k.control; }))
    return take_window_keys(desk, state, actions);
  if (desk.document() && was_pressed(state, GLFW_KEY_TAB)) {
    state.keys_in_panel = !state.keys_in_panel;
    state.focuses_panel = state.keys_in_panel;
    return;
  }
  if (desk.document()) return take_canvas_keys(desk, state, actions);
  for (size_t i = 0; i < std::min<size_t>(9, desk.recent_work().size()); ++i)
    if (was_pressed(state, GLFW_KEY_1 + static_cast<int>(i)))
      actions.push_back(OpenWork{desk.recent_work()[i].work});
}

}  // namespace verdigrid
