#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

const std::vector<KeyRow>& key_table() {
  static const std::vector<KeyRow> rows{
      {GLFW_KEY_O, true, "Ctrl+O", "Open a photo"},
      {GLFW_KEY_Z, true, "Ctrl+Z", "Undo"},
      {GLFW_KEY_Y, true, "Ctrl+Y", "Redo"},
      {GLFW_KEY_W, true, "Ctrl+W", "Close this photo"},
      {GLFW_KEY_Q, true, "Ctrl+Q", "Leave"},
      {GLFW_KEY_F1, false, "F1", "This page"},
      {GLFW_KEY_S, true, "Ctrl+S", "Save survey and review as a folder"},
      {GLFW_KEY_P, true, "Ctrl+P", "Save a bench sheet (PDF)"},
      {GLFW_KEY_1, false, "1 to 9, 0, F2 ...", "The steps, from left to right"},
      {GLFW_KEY_PAGE_DOWN, true, "Ctrl+PgUp, PgDn", "The step before, the next one"},
      {GLFW_KEY_F, false, "F", "Fit the photo"},
      {GLFW_KEY_D, false, "D", "One photo pixel on one screen pixel"},
      {GLFW_KEY_PAGE_UP, false, "PgUp, PgDn", "Closer, farther"},
      {GLFW_KEY_R, false, "R", "Turn a quarter, for looking only"},
      {GLFW_KEY_L, false, "L", "Loupe on or off"},
      {GLFW_KEY_G, false, "G", "Grid on or off"},
      {GLFW_KEY_H, false, "H", "Residue on or off"},
      {GLFW_KEY_V, false, "V", "What the photo cannot show, on or off"},
      {GLFW_KEY_M, false, "M, I", "Measure a distance, an area"},
      {GLFW_KEY_SPACE, false, "Space, Enter", "With a tool: a point here; close the outline"},
      {GLFW_KEY_ESCAPE, false, "Esc", "Put the tool down"},
      {GLFW_KEY_S, false, "S, C", "Straighten: type the board's size, set corners"},
      {GLFW_KEY_Y, false, "Y, N, U", "Look: yes, no, not sure"},
      {GLFW_KEY_X, false, "X", "Look: point at something missed"},
      {GLFW_KEY_J, false, "J, K", "Next and previous finding"},
      {GLFW_KEY_A, false, "A, X", "Survey: accept, dismiss the finding"},
      {GLFW_KEY_T, false, "T, letter", "Survey: the finding is C L W R J E U"},
      {GLFW_KEY_M, false, "Shift+M", "Survey: merge with the next chosen one"},
      {GLFW_KEY_B, false, "B, E, O, S", "Survey: brush, eraser, outline, split"},
      {GLFW_KEY_LEFT_BRACKET, false, "[, ]", "Survey: narrower, wider brush"},
      {GLFW_KEY_O, false, "N, O, B, S", "Layout: begin; zone by outline, rectangle, squares"},
      {GLFW_KEY_COMMA, false, "P, comma, dot", "Layout: stamp a part, turn it"},
      {GLFW_KEY_DELETE, false, "Del", "Layout: remove the chosen zone or part"},
      {GLFW_KEY_P, false, "P", "Place a pin"},
      {GLFW_KEY_N, false, "N; J, K; T", "Plan, Power lock: make; next, previous; tick off"},
      {GLFW_KEY_PERIOD, false, "Comma, dot", "Recheck: another way to show both photos"},
      {GLFW_KEY_C, false, "C, W; [, ]", "Recheck: the photo before, dry; swipe, gain"},
      {GLFW_KEY_EQUAL, true, "Ctrl+plus, minus", "Larger and smaller window text"},
      {GLFW_KEY_T, true, "Ctrl+T", "Dark or light"},
  };
  return rows;
}

void draw_help(ViewerState& state) {
  const Theme& t = state.theme;
  if (state.help_is_open) ImGui::OpenPopup("Keys");
  ImGui::SetNextWindowPos({static_cast<float>(state.canvas.x + state.canvas.width / 2),
                           static_cast<float>(state.canvas.y + state.canvas.height / 2)},
                          ImGuiCond_Always, {0.5f, 0.5f});
  if (!ImGui::BeginPopupModal("Keys", &state.help_is_open,
                              ImGuiWindowFlags_AlwaysAutoResize | ImGuiWindowFlags_NoMove |
                                  ImGuiWindowFlags_NoSavedSettings))
    return;
  // Two columns of keys where the window is wide enough, else one that scrolls.
  const bool is_wide = ImGui::GetIO().DisplaySize.x > t.px(900);
  const float most = ImGui::GetIO().DisplaySize.y - t.px(190);
  const size_t half = is_wide ? (key_table().size() + 1) / 2 : key_table().size();
  const float wanted = static_cast<float>(half) *
                           (ImGui::GetTextLineHeight() + 2 * ImGui::GetStyle().CellPadding.y) +
                       t.px(4);
  ImGui::BeginChild("all keys", {is_wide ? t.px(820) : t.px(420), std::min(wanted, most)});
  if (ImGui::BeginTable("keys", is_wide ? 4 : 2, ImGuiTableFlags_SizingFixedFit)) {
    const auto cells = [&](const KeyRow& r) {
      ImGui::TableNextColumn();
      ImGui::PushFont(t.strong);
      ImGui::TextUnformatted(r.label);
      ImGui::PopFont();
      ImGui::TableNextColumn();
      ImGui::TextUnformatted(r.what);
    };
    for (size_t i = 0; i < half; ++i) {
      ImGui::TableNextRow();
      cells(key_table()[i]);
      if (is_wide && half + i < key_table().size()) cells(key_table()[half + i]);
    }
    ImGui::EndTable();
  }
  ImGui::EndChild();
  muted_text(t, "Drag or arrow keys move the photo, the wheel zooms about the cursor.");
  if (ImGui::Button("Close") || was_pressed(state, GLFW_KEY_ESCAPE))
    state.help_is_open = false, ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace verdigrid
