#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "viewer/panels.h"
#include "viewer/steps.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr float k_margin = 16, k_gap = 20, k_group_gap = 9;
constexpr float k_word_pads[] = {14, 11, 8};  // beside a word, the widest that has room

float words_width(const Theme& t, float pad) {
  float width = 0;
  const StepRow* before = nullptr;
  ImGui::PushFont(t.strong);  // the open one is drawn with it
  for (const StepRow& row : step_table()) {
    if (before && before->group != row.group) width += t.px(k_group_gap);
    width += ImGui::CalcTextSize(row.name).x + 2 * t.px(pad);
    before = &row;
  }
  ImGui::PopFont();
  return width;
}

void step_tooltip(const Theme& t, size_t place) {
  wrapped_tooltip(t, fmt::format("{}  ({})", step_table()[place].what, key_label_of_step(place)));
}

// A word with a line under the one that is open.
void draw_word(ViewerState& state, size_t place, float pad, float height) {
  const Theme& t = state.theme;
  const StepRow& row = step_table()[place];
  const bool is_open = state.step == row.step;
  ImGui::PushFont(is_open ? t.strong : t.body);
  const ImVec2 text = ImGui::CalcTextSize(row.name), at = ImGui::GetCursorScreenPos();
  const float side = t.px(pad);
  const ImVec2 size{text.x + 2 * side, height};
  if (ImGui::InvisibleButton(row.name, size)) go_to_step(state, row.step);
  const bool is_hovered = ImGui::IsItemHovered(), is_hot = is_hovered || ImGui::IsItemFocused();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddText({at.x + side, at.y + (height - text.y) / 2},
               colour_u32(is_open || is_hot ? t.text : t.muted), row.name);
  if (is_open)
    list.AddRectFilled({at.x + side, at.y + height - t.px(3)},
                       {at.x + size.x - side, at.y + height}, colour_u32(t.accent));
  ImGui::PopFont();
  if (is_hovered) step_tooltip(t, place);
}

// Groups of words with a thin line between them.
void draw_words(ViewerState& state, float pad, float height) {
  const Theme& t = state.theme;
  const auto& rows = step_table();
  for (size_t i = 0; i < rows.size(); ++i) {
    if (i > 0) ImGui::SameLine(0, 0);
    ImGui::SetCursorPosY(0);
    if (i > 0 && rows[i].group != rows[i - 1].group) {
      const ImVec2 at = ImGui::GetCursorScreenPos();
      const float x = at.x + t.px(k_group_gap) / 2, inset = height / 3;
      ImGui::GetWindowDrawList()->AddLine({x, at.y + inset}, {x, at.y + height - inset},
                                          colour_u32(t.line), t.px(1));
      ImGui::SetCursorPosX(ImGui::GetCursorPosX() + t.px(k_group_gap));
    }
    draw_word(state, i, pad, height);
  }
}

// The same where there is no room for all words side by side: a list, and one step back or on.
void draw_step_list(ViewerState& state, float y) {
  const Theme& t = state.theme;
  const auto& rows = step_table();
  const auto arrow = [&](const char* id, ImGuiDir direction, Step end, int by) {
    ImGui::SetCursorPosY(y);
    ImGui::BeginDisabled(state.step == end);
    if (ImGui::ArrowButton(id, direction)) go_to_next_step(state, by);
    ImGui::EndDisabled();
    if (ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled))
      ImGui::SetTooltip("%s", state.step == end ? "There is no further step."
                              : by < 0          ? "The step before (Ctrl+PgUp)"
                                                : "The next step (Ctrl+PgDn)");
  };
  arrow("before", ImGuiDir_Left, rows.front().step, -1);
  ImGui::SameLine();
  ImGui::SetCursorPosY(y);
  ImGui::SetNextItemWidth(t.px(130));
  if (ImGui::BeginCombo("##step", row_of(state.step).name, ImGuiComboFlags_HeightLargest)) {
    for (size_t i = 0; i < rows.size(); ++i) {
      if (i > 0 && rows[i].group != rows[i - 1].group) ImGui::Separator();
      if (ImGui::Selectable(rows[i].name, rows[i].step == state.step))
        go_to_step(state, rows[i].step);
      if (ImGui::IsItemHovered()) step_tooltip(t, i);
    }
    ImGui::EndCombo();
  }
  ImGui::SameLine();
  arrow("next", ImGuiDir_Right, rows.back().step, 1);
}

float buttons_width(std::initializer_list<const char*> labels) {
  const ImGuiStyle& style = ImGui::GetStyle();
  float width = -style.ItemSpacing.x;
  for (const char* label : labels)
    width += ImGui::CalcTextSize(label).x + 2 * style.FramePadding.x + style.ItemSpacing.x;
  return width;
}

void draw_undo(const Desk& desk, Actions& actions, float y) {
  const auto& history = desk.history();
  ImGui::SetCursorPosY(y);
  if (button("Undo", history.can_undo() ? "" : "Nothing was changed yet."))
    actions.push_back(Undo{});
  if (history.can_undo() && ImGui::IsItemHovered())
    ImGui::SetTooltip("Undo: %s  (Ctrl+Z)", history.undo_label().c_str());
  ImGui::SameLine();
  ImGui::SetCursorPosY(y);
  if (button("Redo", history.can_redo() ? "" : "Nothing was undone.")) actions.push_back(Redo{});
  if (history.can_redo() && ImGui::IsItemHovered())
    ImGui::SetTooltip("Redo: %s  (Ctrl+Y)", history.redo_label().c_str());
  ImGui::SameLine();
}

}  // namespace

void draw_top_bar(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at, ImVec2 size) {
  const Theme& t = state.theme;
  ImGui::SetNextWindowPos(at);
  ImGui::SetNextWindowSize(size);
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.panel);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {t.px(k_margin), 0});
  ImGui::Begin("top", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  const float y = (size.y - ImGui::GetFrameHeight()) / 2;
  const bool has_work = desk.document() != nullptr;
  const float right = has_work ? buttons_width({"Undo", "Redo", "Keys"}) : buttons_width({"Keys"});
  const float room =
      size.x - 2 * t.px(k_margin) - right - 2 * t.px(k_gap) - buttons_width({"Open a photo"});
  ImGui::SetCursorPosY(y);
  if (button(room > t.px(240) ? "Open a photo" : "Open")) state.picker.open_for(PickFor::photo);
  if (ImGui::IsItemHovered()) ImGui::SetTooltip("Open a photo (Ctrl+O)");
  if (has_work) {
    ImGui::SameLine(0, t.px(k_gap));
    const float* pad = std::find_if(std::begin(k_word_pads), std::end(k_word_pads),
                                    [&](float p) { return words_width(t, p) <= room; });
    if (pad != std::end(k_word_pads))
      draw_words(state, *pad, size.y);
    else
      draw_step_list(state, y);
  }
  ImGui::SameLine(size.x - right - t.px(k_margin));
  if (has_work) draw_undo(desk, actions, y);
  ImGui::SetCursorPosY(y);
  if (button("Keys")) state.help_is_open = !state.help_is_open;
  if (ImGui::IsItemHovered()) ImGui::SetTooltip("Every key (F1)");
  ImGui::End();
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
}

}  // namespace verdigrid
