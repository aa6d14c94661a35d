#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/steps.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

struct KeyGroup {
  std::string name;
  std::vector<KeyLine> lines;
};

// What works in every step, then each step's own.
std::vector<KeyGroup> key_groups() {
  std::vector<KeyGroup> groups{
      {"Everywhere",
       {{"Ctrl+O", "open a photo"},
        {"Ctrl+Z, Y", "undo, redo"},
        {"Ctrl+S", "save the survey; in Recheck the comparison"},
        {"Ctrl+R", "report of the survey (HTML, PDF)"},
        {"Ctrl+P", "bench sheet (PDF)"},
        {"Ctrl+W, Q", "close this photo, leave"},
        {"Ctrl+plus, minus", "larger, smaller"},
        {"Ctrl+T", "dark or light"},
        {"F1", "this page"}}},
      {"Going round",
       {{"Ctrl+PgUp, PgDn", "the step before, the next one"},
        {"Ctrl+Left, Right", "the tab before, the next one"},
        {"Tab", "keys into the panel and back: arrows go through it, Space presses"},
        {"Esc", "put the tool down, keys back to the photo"}}},
      {"The photo",
       {{"arrows, PgUp, PgDn", "move; closer, farther"},
        {"F, D", "fit; one photo pixel on one screen pixel"},
        {"R, L", "a quarter turn, loupe; for looking only"},
        {"G, H, V", "grid, residue, what is unseen"},
        {"M, I", "measure a distance, an area"},
        {"J, K", "next, previous finding"},
        {"P", "a pin"},
        {"Space, Enter", "with a tool: a point here; close the outline"}}}};
  const auto& steps = step_table();
  for (size_t i = 0; i < steps.size(); ++i)
    groups.push_back({fmt::format("{}   {}", key_label_of_step(i), steps[i].name), steps[i].keys});
  return groups;
}

void draw_group(const Theme& t, const KeyGroup& group, float key_width) {
  ImGui::PushStyleColor(ImGuiCol_Text, t.accent);
  heading(t, group.name.c_str());
  ImGui::PopStyleColor();
  for (const KeyLine& line : group.lines) {
    ImGui::PushFont(t.strong);
    ImGui::TextUnformatted(line.keys);
    ImGui::PopFont();
    ImGui::SameLine(key_width);  // from where the column begins
    wrapped(line.what);
  }
}

// How many lines a group takes, its heading among them.
size_t weight(const KeyGroup& group) { return group.lines.size() + 2; }

// Side by side where the window is wide enough, each about as high as the others.
void draw_columns(const Theme& t, const std::vector<KeyGroup>& groups, int columns) {
  constexpr float k_key_width = 130;
  size_t all = 0, taken = 0;
  for (const KeyGroup& g : groups) all += weight(g);
  if (!ImGui::BeginTable("groups", columns, ImGuiTableFlags_SizingStretchSame)) return;
  ImGui::TableNextRow();
  int column = -1;
  for (const KeyGroup& g : groups) {
    if (column < 0 || (column + 1 < columns && taken * static_cast<size_t>(columns) >=
                                                   all * static_cast<size_t>(column + 1)))
      ImGui::TableSetColumnIndex(++column);
    taken += weight(g);
    draw_group(t, g, t.px(k_key_width));
  }
  ImGui::EndTable();
}

}  // namespace

void draw_help(ViewerState& state) {
  const Theme& t = state.theme;
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  if (state.help_is_open) ImGui::OpenPopup("Keys");
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  if (!ImGui::BeginPopupModal("Keys", &state.help_is_open,
                              ImGuiWindowFlags_AlwaysAutoResize | ImGuiWindowFlags_NoMove |
                                  ImGuiWindowFlags_NoSavedSettings))
    return;
  constexpr float k_column = 390;
  const float room = screen.x - t.px(60);
  const int columns = std::clamp(static_cast<int>(room / t.px(k_column)), 1, 3);
  ImGui::BeginChild("all keys", {std::min(room, t.px(k_column) * static_cast<float>(columns)),
                                 std::min(screen.y - t.px(150), t.px(620))});
  draw_columns(t, key_groups(), columns);
  ImGui::EndChild();
  muted_text(t, "Drag moves the photo, the wheel zooms about the cursor.");
  if (ImGui::Button("Close") || was_pressed(state, GLFW_KEY_ESCAPE))
    state.help_is_open = false, ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace verdigrid
