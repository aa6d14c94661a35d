#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cstdlib>

#include "viewer/file_listing.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace fs = std::filesystem;

void draw_file_picker(const Desk& desk, ViewerState& state, Actions& actions) {
  static_cast<void>(desk);
  FilePicker& p = state.picker;
  if (p.is_open && !ImGui::IsPopupOpen("Choose a photo")) ImGui::OpenPopup("Choose a photo");
  const Theme& t = state.theme;
  ImGui::SetNextWindowSize({t.px(640), t.px(480)}, ImGuiCond_Always);
  ImGui::SetNextWindowPos({static_cast<float>(state.canvas.x + state.canvas.width / 2),
                           static_cast<float>(state.canvas.y + state.canvas.height / 2)},
                          ImGuiCond_Always, {0.5f, 0.5f});
  if (!ImGui::BeginPopupModal(
          "Choose a photo", &p.is_open,
          ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings))
    return;
  muted_text(t, p.folder.string());
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##filter", "Part of the name", &p.filter);
  ImGui::BeginChild("files", {0, -ImGui::GetFrameHeightWithSpacing() - t.px(6)}, true);
  if (ImGui::Selectable("..  one folder up"))
    p.folder = p.folder.parent_path(), p.listed_for.clear();
  for (const ListedFile& f : p.files) {
    if (!p.filter.empty() && f.name.find(p.filter) == std::string::npos) continue;
    if (!ImGui::Selectable((f.is_folder ? f.name + "/" : f.name).c_str())) continue;
    if (f.is_folder) {
      p.folder /= f.name, p.listed_for.clear();
      break;
    }
    actions.push_back(OpenPhotoFile{p.folder / f.name});
    p.is_open = false;
    ImGui::CloseCurrentPopup();
  }
  ImGui::EndChild();
  if (ImGui::Button("Cancel")) p.is_open = false, ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace verdigrid
