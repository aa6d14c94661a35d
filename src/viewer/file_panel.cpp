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
  if (p.what == PickFor::inbox || p.what == PickFor::watch) return;  // the folder is what is chosen
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
    case PickFor::watch:
      return " - pictures that arrive from now on are close-ups; none is moved.";
  }
  return "";
}

// One line: a small picture where it is a photo, and its name.
bool draw_file(const ViewerState& state, const ListedFile& file, const fs::path& path,
               bool is_chosen_file, float height) {
  const Theme& t = state.theme;
  ImGui::PushID(file.name.c_str());
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const bool pressed = ImGui::Selectable("##file", is_chosen_file,
                                         ImGuiSelectableFlags_DontClosePopups, {0, height});
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float side = height - t.px(6), x = at.x + t.px(4);
  if (may_be_photo(path) && !file.is_folder)
    file_picture(list, t, state.picture_of_file ? state.picture_of_file(path) : FilePicture{},
                 {x, at.y + t.px(3)}, side);
  const float left = x + side + t.px(12);
  const std::string text = file.is_folder ? file.name + "/" : file.name;
  list.AddText({left, at.y + (height - ImGui::GetTextLineHeight()) / 2}, colour_u32(t.text),
               cut_to(text, at.x + ImGui::GetContentRegionAvail().x - left).c_str());
  ImGui::PopID();
  return pressed;
}

void draw_files(ViewerState& state, Actions& actions) {
  FilePicker& p = state.picker;
  constexpr float k_row_height = 42;
  if (ImGui::Selectable("..  one folder up", false, ImGuiSelectableFlags_DontClosePopups))
    p.folder = p.folder.parent_path(), p.listed_for.clear();
  std::vector<const ListedFile*> shown;
  for (const ListedFile& f : p.files)
    if (p.filter.empty() || f.name.find(p.filter) != std::string::npos) shown.push_back(&f);
  if (shown.empty()) {
    ImGui::TextUnformatted(p.filter.empty() ? "Nothing here that can be opened."
                                            : "No name holds that.");
    return;
  }
  const float height = state.theme.px(k_row_height);
  const ListedFile* pressed = nullptr;
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(shown.size()), height + ImGui::GetStyle().ItemSpacing.y);
  while (clipper.Step())
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i) {
      const ListedFile& f = *shown[static_cast<size_t>(i)];
      const fs::path path = p.folder / f.name;
      if (draw_file(state, f, path, is_chosen(p, path), height)) pressed = &f;
    }
  if (!pressed) return;
  const fs::path path = p.folder / pressed->name;
  if (pressed->is_folder)
    p.folder = path, p.listed_for.clear();
  else
    choose(p, path, actions);
}

}  // namespace

void draw_file_picker(const Desk&, ViewerState& state, Actions& actions) {
  FilePicker& p = state.picker;
  const char* title = p.what == PickFor::photo    ? "Choose a photo"
                      : p.what == PickFor::layout ? "Choose a layout"
                      : p.what == PickFor::inbox  ? "Choose an inbox"
                                                  : "Choose the camera's folder";
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
  draw_files(state, actions);
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
  if (p.what == PickFor::watch) {
    if (main_button(t, "Watch this folder")) {
      actions.push_back(WatchFolder{p.folder});
      close(p);
    }
    ImGui::SameLine();
  }
  if (ImGui::Button("Cancel") || was_pressed(state, GLFW_KEY_ESCAPE)) close(p);
  ImGui::EndPopup();
}

}  // namespace verdigrid
