#include "viewer/widgets.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "report/figures.h"

namespace verdigrid {

namespace {

// Smaller than a button, with an outline of its own.
class SmallFrame {
 public:
  SmallFrame() {
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                        {ImGui::GetStyle().FramePadding.x, small_frame_inset()});
    ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1);
    ImGui::PushStyleColor(ImGuiCol_Border, ImGui::GetStyleColorVec4(ImGuiCol_TextDisabled));
  }
  ~SmallFrame() {
    ImGui::PopStyleColor();
    ImGui::PopStyleVar(2);
  }
  SmallFrame(const SmallFrame&) = delete;
  SmallFrame& operator=(const SmallFrame&) = delete;
};

}  // namespace

void title(const Theme& theme, const char* text) {
  ImGui::PushFont(theme.title);
  ImGui::PushTextWrapPos(0);
  ImGui::TextUnformatted(text);
  ImGui::PopTextWrapPos();
  ImGui::PopFont();
}

bool tick_box(const char* label, bool* is_ticked) {
  const SmallFrame frame;
  return ImGui::Checkbox(label, is_ticked);
}

bool radio(const char* label, bool is_chosen) {
  const SmallFrame frame;
  return ImGui::RadioButton(label, is_chosen);
}

float small_frame_inset() { return ImGui::GetStyle().FramePadding.y * 0.4f; }

void align_to_small_frame() {
  const SmallFrame frame;
  ImGui::AlignTextToFramePadding();
}

void field_label(const Theme& theme, const char* label, Follows follows) {
  constexpr float k_label_width = 112;
  follows == Follows::box ? ImGui::AlignTextToFramePadding() : align_to_small_frame();
  ImGui::PushStyleColor(ImGuiCol_Text, theme.muted);
  ImGui::TextUnformatted(label);
  ImGui::PopStyleColor();
  ImGui::SameLine(ImGui::GetStyle().WindowPadding.x + theme.px(k_label_width));
  ImGui::SetNextItemWidth(-1);
}

std::string kind_words(PartKind kind) {
  std::string words = name(kind);
  std::replace(words.begin(), words.end(), '-', ' ');
  return words;
}

std::string sentence_case(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(text[0]));
  return text;
}

std::string short_figure(double value) {
  constexpr double k_least = 0.05;
  return value == 0 ? "0" : value < k_least ? "< 0.1" : figure(value);
}

std::string cut_to(const std::string& text, float room) {
  if (ImGui::CalcTextSize(text.c_str()).x <= room) return text;
  const char* dots = "\u2026";
  const float left = room - ImGui::CalcTextSize(dots).x;
  const char* end = nullptr;
  ImGui::GetFont()->CalcTextSizeA(ImGui::GetFontSize(), std::max(0.f, left), 0, text.c_str(),
                                  text.c_str() + text.size(), &end);
  return std::string(text.c_str(), end) + dots;
}

std::string counted(size_t n, const char* one, const char* many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

PanelTabs::PanelTabs(ViewerState& state, const char* id)
    : state_(state), is_open_(ImGui::BeginTabBar(id)) {}

PanelTabs::~PanelTabs() {
  if (!is_open_) return;
  ImGui::EndTabBar();
  state_.tabs.count = count_;
  state_.tabs.wanted.reset();
}

bool PanelTabs::begins(const std::string& label) {
  if (!is_open_) return false;
  const int place = count_++;
  const bool is_wanted = state_.tabs.wanted == place;
  const bool is_shown = ImGui::BeginTabItem(
      label.c_str(), nullptr, is_wanted ? ImGuiTabItemFlags_SetSelected : ImGuiTabItemFlags_None);
  if (is_shown && !state_.tabs.wanted) state_.tabs.open = place;
  return is_shown;
}

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

std::string in_lines(const std::string& text, float width) {
  std::string lines, line, word;
  const auto put_word = [&](char after) {
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && ImGui::CalcTextSize(longer.c_str()).x > width) {
      lines += line + "\n";
      line = word;
    } else {
      line = longer;
    }
    word.clear();
    if (after != '\n') return;
    lines += line + "\n";
    line.clear();
  };
  for (const char c : text) {
    if (c == ' ' || c == '\n')
      put_word(c);
    else
      word += c;
  }
  put_word(' ');
  return lines + line;
}

void wrapped(const std::string& text) {
  ImGui::PushTextWrapPos(0);  // for a word that is longer than the line
  ImGui::TextUnformatted(in_lines(text, ImGui::GetContentRegionAvail().x).c_str());
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
  const float d = ImGui::GetTextLineHeight() * 1.15f, height = ImGui::GetFrameHeight();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  residue_chip(*ImGui::GetWindowDrawList(), theme, {at.x + d / 2, at.y + height / 2}, r, d / 2);
  ImGui::Dummy({d, height});
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
}

void row(const Theme& theme, const char* label, const std::string& value) {
  ImGui::PushStyleColor(ImGuiCol_Text, theme.muted);
  ImGui::TextUnformatted(label);
  ImGui::PopStyleColor();
  const float width = ImGui::CalcTextSize(value.c_str()).x, room = ImGui::GetContentRegionMax().x;
  ImGui::SameLine(std::max(room - width, theme.px(120)));
  ImGui::TextUnformatted(value.c_str());
}

void crop_picture(ImDrawList& list, const ViewerState& state, cv::Rect crop_px, ImVec2 at,
                  float side) {
  const ImVec2 end{at.x + side, at.y + side};
  const ImTextureID texture = state.picture_of ? state.picture_of(crop_px) : nullptr;
  if (texture)
    list.AddImageRounded(texture, at, end, {0, 0}, {1, 1}, IM_COL32_WHITE, state.theme.px(4));
  else
    list.AddRectFilled(at, end, colour_u32(state.theme.raised), state.theme.px(4));
}

void file_picture(ImDrawList& list, const Theme& theme, const FilePicture& picture, ImVec2 at,
                  float side) {
  const ImVec2 end{at.x + side, at.y + side};
  if (!picture.id) return list.AddRectFilled(at, end, colour_u32(theme.raised), theme.px(4));
  const float u = picture.aspect > 1 ? 0.5f - 0.5f / picture.aspect : 0,
              v = picture.aspect < 1 ? 0.5f - 0.5f * picture.aspect : 0;
  list.AddImageRounded(picture.id, at, end, {u, v}, {1 - u, 1 - v}, IM_COL32_WHITE, theme.px(4));
}

bool choice(const Theme& theme, const char* label, bool is_chosen, const std::string& why_not) {
  if (is_chosen) ImGui::PushFont(theme.strong);
  const bool pressed = button(label, why_not);
  if (is_chosen) {
    ImGui::PopFont();
    ImGui::GetWindowDrawList()->AddRect(ImGui::GetItemRectMin(), ImGui::GetItemRectMax(),
                                        colour_u32(theme.accent), ImGui::GetStyle().FrameRounding,
                                        0, theme.px(1.5f));
  }
  return pressed;
}

void same_line_if_room(const char* next_label) {
  const ImGuiStyle& style = ImGui::GetStyle();
  const float width = ImGui::CalcTextSize(next_label, nullptr, true).x + 2 * style.FramePadding.x;
  const float end = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x;
  if (ImGui::GetItemRectMax().x + style.ItemSpacing.x + width <= end) ImGui::SameLine();
}

}  // namespace verdigrid
