#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <utility>

#include "viewer/file_listing.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

void close(FilePicker& p) {
  p.is_open = false;
  ImGui::CloseCurrentPopup();
}

bool is_chosen(const FilePicker& p, const fs::path& path) {
  return std::find(p.chosen.begin(), p.chosen.end(), path) != p.chosen.end();
}

void choose(FilePicker& p, const fs::path& path, Actions& actions) {
  if (p.what == PickFor::inbox) return;  // the folder is what is chosen
  if (p.what == PickFor::photo) {
    actions.push_back(OpenPhotoFile{path});
    close(p);
  } else if (is_chosen(p, path)) {
    std::erase(p.chosen, path);
  } else {
    p.chosen.push_back(path);
  }
}

const char* hint_of(PickFor what) {
  switch (what) {
    case PickFor::photo:
      return "";
    case PickFor::layout:
      return " - choose every file of this board (outline, table of parts), and the photo it is "
             "tied to if there is one.";
    case PickFor::inbox:
      return " - every photo of this folder is read; none is moved.";
  }
  return "";
}

void draw_files(FilePicker& p, Actions& actions) {
  if (ImGui::Selectable("..  one folder up"))
    p.folder = p.folder.parent_path(), p.listed_for.clear();
  size_t shown = 0;
  for (const ListedFile& f : p.files) {
    if (!p.filter.empty() && f.name.find(p.filter) == std::string::npos) continue;
    ++shown;
    const fs::path path = p.folder / f.name;
    if (!ImGui::Selectable((f.is_folder ? f.name + "/" : f.name).c_str(), is_chosen(p, path),
                           ImGuiSelectableFlags_DontClosePopups))
      continue;
    if (f.is_folder) {
      p.folder = path, p.listed_for.clear();
      break;
    }
    choose(p, path, actions);
    break;
  }
  if (shown == 0)
    ImGui::TextUnformatted(p.filter.empty() ? "Nothing here that can be opened."
                                            : "No name holds that.");
}

}  // namespace

void draw_file_picker(const Desk&, ViewerState& state, Actions& actions) {
  FilePicker& p = state.picker;
  const char* title = p.what == PickFor::photo    ? "Choose a photo"
                      : p.what == PickFor::layout ? "Choose a layout"
                                                  : "Choose an inbox";
  if (p.is_open && !ImGui::IsPopupOpen(title)) ImGui::OpenPopup(title);
  const Theme& t = state.theme;
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowSize(
      {std::min(t.px(640), screen.x - t.px(20)), std::min(t.px(480), screen.y - t.px(20))},
      ImGuiCond_Always);
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  if (!ImGui::BeginPopupModal(
          title, &p.is_open,
          ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings))
    return;
  muted_text(t, p.folder.string() + hint_of(p.what));
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##filter", "Part of the name", &p.filter);
  ImGui::BeginChild("files", {0, -ImGui::GetFrameHeightWithSpacing() - t.px(6)}, true);
  draw_files(p, actions);
  ImGui::EndChild();
  if (p.what == PickFor::layout) {
    const std::string label = p.chosen.size() > 1 ? "Open these files" : "Open this file";
    if (button(label.c_str(), p.chosen.empty() ? "Choose a file first." : "")) {
      actions.push_back(ImportLayout{std::exchange(p.chosen, {})});
      close(p);
    }
    ImGui::SameLine();
  }
  if (p.what == PickFor::inbox) {
    if (main_button(t, "File this folder")) {
      actions.push_back(FileInbox{p.folder});
      close(p);
    }
    ImGui::SameLine();
  }
  if (ImGui::Button("Cancel") || was_pressed(state, GLFW_KEY_ESCAPE)) close(p);
  ImGui::EndPopup();
}

}  // namespace verdigrid
