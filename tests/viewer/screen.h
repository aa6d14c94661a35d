// ImGui without a window for the panel tests: one context per test, fonts built, a mouse and keys
// by hand.
#pragma once

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <imgui.h>

#include <string>
#include <vector>

#include "tests/desk/open_desk.h"
#include "viewer/app.h"
#include "viewer/panels.h"
#include "viewer/steps.h"

namespace verdigrid {

struct Screen {
  ViewerState state;
  Actions actions;  // of the last frame, click or drag
  cv::Size size;

  explicit Screen(float scale = 1, cv::Size of = {1280, 800}) : size(of) {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {static_cast<float>(size.width), static_cast<float>(size.height)};
    io.DeltaTime = 1.f / 60;
    state.theme = theme_of(Tone::dark, scale);
    load_fonts(state.theme);
    apply(state.theme);
    io.Fonts->Build();
  }
  ~Screen() { ImGui::DestroyContext(); }

  void frame(const Desk& desk, std::vector<KeyPress> keys = {}) {
    actions.clear();
    state.keys = std::move(keys);
    ImGui::NewFrame();
    draw_window(desk, state, actions, size);
    ImGui::Render();
  }
  // Presses at the first point, moves through the others, lets go at the last.
  void drag(const Desk& desk, const std::vector<cv::Point2d>& through) {
    Actions all;
    const auto step = [&](cv::Point2d at, bool is_down) {
      ImGuiIO& io = ImGui::GetIO();
      io.MousePos = {static_cast<float>(at.x), static_cast<float>(at.y)};
      io.MouseDown[0] = is_down;
      frame(desk);
      all.insert(all.end(), actions.begin(), actions.end());
    };
    step(through.front(), false);
    for (const cv::Point2d p : through) step(p, true);
    step(through.back(), false);
    step(through.back(), false);
    actions = all;
  }
  void click(const Desk& desk, cv::Point2d at) { drag(desk, {at}); }
  cv::Point2d on_screen(cv::Point2d p_px) const {
    return screen_from_photo(state.view, state.canvas, p_px);
  }
  template <class T>
  const T* action() const {
    for (const DeskAction& a : actions)
      if (const T* found = std::get_if<T>(&a)) return found;
    return nullptr;
  }
  // Gives what was asked for to the desk and waits for its jobs.
  void perform(OpenDesk& open) {
    const Actions asked = actions;
    for (const DeskAction& a : asked) open.desk.perform(a);
    open.finish();
  }
};

}  // namespace verdigrid
