#include "viewer/widgets.h"

#include <fmt/format.h>

namespace verdigrid {

void heading(const Theme& theme, const char* text) {
  ImGui::Spacing();
  ImGui::PushFont(theme.strong);
  ImGui::TextUnformatted(text);
  ImGui::PopFont();
}

void muted_text(const Theme& theme, const std::string& text) {
  ImGui::PushStyleColor(ImGuiCol_Text, theme.muted);
  wrapped(text);
  ImGui::PopStyleColor();
}

void wrapped(const std::string& text) {
  ImGui::PushTextWrapPos(0);
  ImGui::TextUnformatted(text.c_str());
  ImGui::PopTextWrapPos();
}

void wrapped_tooltip(const Theme& theme, const std::string& text) {
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(theme.px(340));
  ImGui::TextUnformatted(text.c_str());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

bool main_button(const Theme& theme, const char* label, float width) {
  ImGui::PushStyleColor(ImGuiCol_Button, theme.accent);
  ImGui::PushStyleColor(ImGuiCol_ButtonHovered, theme.accent);
  ImGui::PushStyleColor(ImGuiCol_ButtonActive, theme.accent);
  ImGui::PushStyleColor(ImGuiCol_Text, theme.on_accent);
  ImGui::PushFont(theme.strong);
  const bool pressed = ImGui::Button(label, {width, 0});
  ImGui::PopFont();
  ImGui::PopStyleColor(4);
  return pressed;
}

bool button(const char* label, const std::string& why_not, float width) {
  ImGui::BeginDisabled(!why_not.empty());
  const bool pressed = ImGui::Button(label, {width, 0});
  ImGui::EndDisabled();
  if (!why_not.empty() && ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled))
    ImGui::SetTooltip("%s", why_not.c_str());
  return pressed;
}

void residue_chip(ImDrawList& list, const Theme& theme, ImVec2 centre, Residue r, float radius) {
  const ImVec4 fill = residue_colour(r), ink{0.06f, 0.07f, 0.08f, 1}, paper{1, 1, 1, 1};
  list.AddCircleFilled(centre, radius, colour_u32(fill), 20);
  const char text[2] = {letter(r), 0};
  ImFont* font = theme.strong;
  const float size = radius * 1.45f;
  const ImVec2 extent = font->CalcTextSizeA(size, 1000, 0, text);
  const ImVec4& best = contrast(fill, ink) >= contrast(fill, paper) ? ink : paper;
  list.AddText(font, size, {centre.x - extent.x / 2, centre.y - extent.y / 2}, colour_u32(best),
               text);
}

void residue_sign(const Theme& theme, Residue r) {
  const float d = ImGui::GetTextLineHeight() * 1.15f;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  residue_chip(*ImGui::GetWindowDrawList(), theme,
               {at.x + d / 2, at.y + ImGui::GetTextLineHeight() / 2}, r, d / 2);
  ImGui::Dummy({d, ImGui::GetTextLineHeight()});
  ImGui::SameLine();
}

void row(const Theme& theme, const char* label, const std::string& value) {
  ImGui::PushStyleColor(ImGuiCol_Text, theme.muted);
  ImGui::TextUnformatted(label);
  ImGui::PopStyleColor();
  const float width = ImGui::CalcTextSize(value.c_str()).x, room = ImGui::GetContentRegionMax().x;
  ImGui::SameLine(std::max(room - width, theme.px(120)));
  ImGui::TextUnformatted(value.c_str());
}

std::string area_text(const Amount& a, bool has_mm, double board_area) {
  if (has_mm)
    return fmt::format("{:.3g} mm\u00b2 ({:.3g}\u2013{:.3g})", a.area.value, a.area.low,
                       a.area.high);
  return board_area > 0 ? fmt::format("{:.2g} % of the board", 100 * a.area.value / board_area)
                        : fmt::format("{} px", a.px);
}

}  // namespace verdigrid
