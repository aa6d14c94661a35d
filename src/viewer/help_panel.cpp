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
      {GLFW_KEY_1, false, "1 to 5", "Photo, Straighten, Look, Survey, Notes"},
      {GLFW_KEY_F, false, "F", "Fit the photo"},
      {GLFW_KEY_D, false, "D", "One photo pixel on one screen pixel"},
      {GLFW_KEY_R, false, "R", "Turn a quarter, for looking only"},
      {GLFW_KEY_G, false, "G", "Grid on or off"},
      {GLFW_KEY_H, false, "H", "Residue on or off"},
      {GLFW_KEY_V, false, "V", "What the photo cannot show, on or off"},
      {GLFW_KEY_Y, false, "Y, N, U", "Look: yes, no, not sure"},
      {GLFW_KEY_X, false, "X", "Look: point at something missed"},
      {GLFW_KEY_J, false, "J, K", "Next and previous finding"},
      {GLFW_KEY_M, false, "M", "Measure a distance"},
      {GLFW_KEY_P, false, "P", "Place a pin"},
      {GLFW_KEY_ESCAPE, false, "Esc", "Put the tool down"},
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
  if (ImGui::BeginTable("keys", 2)) {
    for (const KeyRow& r : key_table()) {
      ImGui::TableNextRow();
      ImGui::TableNextColumn();
      ImGui::PushFont(t.strong);
      ImGui::TextUnformatted(r.label);
      ImGui::PopFont();
      ImGui::TableNextColumn();
      ImGui::TextUnformatted(r.what);
    }
    ImGui::EndTable();
  }
  muted_text(t, "Drag or arrow keys move the photo, the wheel zooms about the cursor.");
  if (ImGui::Button("Close") || was_pressed(state, GLFW_KEY_ESCAPE))
    state.help_is_open = false, ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace verdigrid
