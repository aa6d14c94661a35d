#include <fmt/format.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

const char* name(Step step) {
  switch (step) {
    case Step::receive:
      return "Receive";
    case Step::straighten:
      return "Straighten";
    case Step::look:
      return "Look";
    case Step::survey:
      return "Survey";
    case Step::layout:
      return "Layout";
    case Step::notes:
      return "Notes";
    case Step::plan:
      return "Plan";
    case Step::power_lock:
      return "Power lock";
    case Step::recheck:
      return "Recheck";
  }
  return "";
}

namespace {

// A word with a line under the one that is open.
bool step_word(const ViewerState& state, Step step, float height) {
  const Theme& t = state.theme;
  const bool is_open = state.step == step;
  ImGui::PushFont(is_open ? t.strong : t.body);
  const ImVec2 text = ImGui::CalcTextSize(name(step));
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const ImVec2 size{text.x + t.px(28), height};
  const bool pressed = ImGui::InvisibleButton(name(step), size);
  const bool is_hot = ImGui::IsItemHovered() || ImGui::IsItemFocused();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddText({at.x + t.px(14), at.y + (height - text.y) / 2},
               colour_u32(is_open || is_hot ? t.text : t.muted), name(step));
  if (is_open)
    list.AddRectFilled({at.x + t.px(14), at.y + height - t.px(3)},
                       {at.x + size.x - t.px(14), at.y + height}, colour_u32(t.accent));
  ImGui::PopFont();
  return pressed;
}

void draw_step_words(ViewerState& state, float height) {
  for (const Step step : k_steps) {
    if (step != k_steps.front()) ImGui::SameLine(0, 0);
    ImGui::SetCursorPosY(0);
    if (step_word(state, step, height)) state.step = step, state.tool = Tool::look;
  }
}

// The same where there is no room for all words side by side.
void draw_step_list(ViewerState& state, float y) {
  ImGui::SetCursorPosY(y);
  ImGui::SetNextItemWidth(state.theme.px(130));
  if (!ImGui::BeginCombo("##step", name(state.step), ImGuiComboFlags_HeightLargest)) return;
  for (const Step step : k_steps)
    if (ImGui::Selectable(name(step), step == state.step))
      state.step = step, state.tool = Tool::look;
  ImGui::EndCombo();
}

}  // namespace

void draw_top_bar(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at, ImVec2 size) {
  const Theme& t = state.theme;
  ImGui::SetNextWindowPos(at);
  ImGui::SetNextWindowSize(size);
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.panel);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {t.px(16), 0});
  ImGui::Begin("top", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  const float button_y = (size.y - ImGui::GetFrameHeight()) / 2;
  ImGui::SetCursorPosY(button_y);
  if (button("Open a photo")) state.picker.open_for(PickFor::photo);
  if (desk.document()) {
    const float buttons = ImGui::CalcTextSize("UndoRedoKeys").x +
                          6 * ImGui::GetStyle().FramePadding.x +
                          2 * ImGui::GetStyle().ItemSpacing.x + t.px(32);
    float words = 0;
    for (const Step step : k_steps) words += ImGui::CalcTextSize(name(step)).x + t.px(30);
    ImGui::SameLine(0, t.px(20));
    if (ImGui::GetCursorPosX() + words + buttons <= size.x)
      draw_step_words(state, size.y);
    else
      draw_step_list(state, button_y);
    const std::string undo = desk.history().can_undo() ? "" : "Nothing was changed yet.";
    const std::string redo = desk.history().can_redo() ? "" : "Nothing was undone.";
    const float width = ImGui::CalcTextSize("UndoRedoKeys").x +
                        6 * ImGui::GetStyle().FramePadding.x + 2 * ImGui::GetStyle().ItemSpacing.x;
    ImGui::SameLine(size.x - width - t.px(16));
    ImGui::SetCursorPosY(button_y);
    if (button("Undo", undo)) actions.push_back(Undo{});
    if (undo.empty() && ImGui::IsItemHovered())
      ImGui::SetTooltip("Undo: %s", desk.history().undo_label().c_str());
    ImGui::SameLine();
    ImGui::SetCursorPosY(button_y);
    if (button("Redo", redo)) actions.push_back(Redo{});
    if (redo.empty() && ImGui::IsItemHovered())
      ImGui::SetTooltip("Redo: %s", desk.history().redo_label().c_str());
    ImGui::SameLine();
  } else {
    ImGui::SameLine(size.x - ImGui::CalcTextSize("Keys").x - 2 * ImGui::GetStyle().FramePadding.x -
                    t.px(16));
  }
  ImGui::SetCursorPosY(button_y);
  if (button("Keys")) state.help_is_open = !state.help_is_open;
  ImGui::End();
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
}

}  // namespace verdigrid
