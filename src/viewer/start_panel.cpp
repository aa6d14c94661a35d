#include <fmt/format.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void caution(const Theme& t, float gap) {
  ImGui::Dummy({0, gap});
  muted_text(
      t,
      "Unplug the unit first. Charged capacitors, picture tubes and leaking batteries can hurt "
      "you: follow your local codes, and leave mains and high voltage to qualified people.");
}

}  // namespace

void draw_start(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const cv::Rect2d c = state.canvas;
  const float width = std::min(t.px(620), static_cast<float>(c.width) - t.px(40));
  const auto room = static_cast<float>(c.height);
  // On a low window the caution stands above the lists, which are shorter, so that it is seen.
  const bool is_low = room < t.px(600);
  const float gap = t.px(is_low ? 3 : 10);
  constexpr float k_height = 0.42f;  // its middle, a little above that of the canvas
  const float middle = std::max(room * k_height, std::min(room / 2, state.start_height / 2));
  ImGui::SetNextWindowPos({static_cast<float>(c.x + c.width / 2), static_cast<float>(c.y) + middle},
                          ImGuiCond_Always, {0.5f, 0.5f});
  ImGui::SetNextWindowSizeConstraints({width, 0}, {width, room});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {t.px(36), t.px(is_low ? 16 : 30)});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.panel);
  // The card grows within a frame or two; until it is cut off it has no bar to scroll.
  const ImGuiWindowFlags bar =
      state.start_height < room ? ImGuiWindowFlags_NoScrollbar : ImGuiWindowFlags_None;
  ImGui::Begin("start", nullptr,
               bar | ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize |
                   ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoCollapse |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_AlwaysAutoResize);
  ImGui::PushFont(t.title);
  ImGui::TextUnformatted("Drop a photo of a board here");
  ImGui::PopFont();
  muted_text(t,
             "Straight from above, the whole board in the picture, even light. Nothing is asked: "
             "the most suspect places come first, names and sizes can follow later.");
  ImGui::Spacing();
  if (main_button(t, "Choose a photo")) state.picker.open_for(PickFor::photo);
  if (is_low) caution(t, gap);
  const auto& recent = desk.recent_work();
  if (!recent.empty()) {
    ImGui::Dummy({0, gap});
    heading(t, "Go on with");
    const size_t shown = is_low ? std::min<size_t>(3, recent.size()) : recent.size();
    for (size_t i = 0; i < shown; ++i) {
      const SavedWork& w = recent[i];
      ImGui::PushID(w.work.c_str());
      // The number is its key.
      if (ImGui::Selectable(fmt::format("{}   {}##open", i + 1, w.photo_name).c_str()))
        actions.push_back(OpenWork{w.work});
      const std::string when = w.changed_at.substr(0, 10) + " " + w.changed_at.substr(11, 5);
      ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(when.c_str()).x);
      ImGui::PushStyleColor(ImGuiCol_Text, t.muted);
      ImGui::TextUnformatted(when.c_str());
      ImGui::PopStyleColor();
      ImGui::PopID();
    }
  }
  // One unit alone is the work above, unless nobody has opened it here.
  if (desk.queue().size() > (recent.empty() ? 0u : 1u)) {
    ImGui::Dummy({0, gap});
    heading(t, "Waiting, most urgent first");
    const float row = 2 * ImGui::GetTextLineHeight() + t.px(12) + ImGui::GetStyle().ItemSpacing.y;
    const size_t rows = std::min<size_t>(is_low ? 2 : 4, desk.queue().size());
    ImGui::BeginChild("queue", {0, row * static_cast<float>(rows)});
    draw_queue(desk, state, actions);
    ImGui::EndChild();
  }
  if (!is_low) caution(t, gap);
  state.start_height = ImGui::GetWindowHeight();
  ImGui::End();
  ImGui::PopStyleColor();
  ImGui::PopStyleVar();
}

}  // namespace verdigrid
