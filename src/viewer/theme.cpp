#include "viewer/theme.h"

#include <algorithm>
#include <filesystem>

#include "base/colour.h"

namespace verdigrid {

namespace {

ImVec4 rgb(unsigned hex) {
  return {static_cast<float>(hex >> 16 & 255) / 255, static_cast<float>(hex >> 8 & 255) / 255,
          static_cast<float>(hex & 255) / 255, 1};
}

double luminance(const ImVec4& c) {
  return 0.2126 * linear_from_srgb(c.x) + 0.7152 * linear_from_srgb(c.y) +
         0.0722 * linear_from_srgb(c.z);
}

// Debian's fonts-inter; the second place is where other systems keep it.
constexpr const char* k_font_folders[] = {"/usr/share/fonts/opentype/inter",
                                          "/usr/local/share/fonts/inter"};
constexpr ImWchar k_glyphs[] = {0x0020, 0x024f, 0x0370, 0x03ff, 0x0400, 0x052f, 0x1e00,
                                0x1eff, 0x2010, 0x2027, 0x2030, 0x205e, 0x2070, 0x209f,
                                0x20a0, 0x20bf, 0x2100, 0x214f, 0x2190, 0x21ff, 0x2200,
                                0x22ff, 0x25a0, 0x25ff, 0x2713, 0x2717, 0};

ImFont* font(const char* file, float size_px) {
  for (const char* folder : k_font_folders) {
    const std::filesystem::path path = std::filesystem::path(folder) / file;
    std::error_code code;
    if (std::filesystem::exists(path, code))
      return ImGui::GetIO().Fonts->AddFontFromFileTTF(path.c_str(), size_px, nullptr, k_glyphs);
  }
  ImFontConfig config;
  config.SizePixels = size_px;
  return ImGui::GetIO().Fonts->AddFontDefault(&config);
}

}  // namespace

Theme theme_of(Tone tone, float scale) {
  Theme t;
  t.tone = tone;
  t.scale = scale;
  if (tone == Tone::dark) {
    t.surface = rgb(0x181c1d), t.panel = rgb(0x212628), t.raised = rgb(0x2e3538),
    t.line = rgb(0x3d4649);
    t.text = rgb(0xe9eeec), t.muted = rgb(0xa3b3af), t.accent = rgb(0x5cc2ad),
    t.on_accent = rgb(0x0e1f1b), t.warning = rgb(0xf0a37c);
  } else {
    t.surface = rgb(0xe7e4dd), t.panel = rgb(0xf8f6f1), t.raised = rgb(0xe9e6de),
    t.line = rgb(0xcfcabf);
    t.text = rgb(0x1f2625), t.muted = rgb(0x55605d), t.accent = rgb(0x17695c),
    t.on_accent = rgb(0xffffff), t.warning = rgb(0x9a3b12);
  }
  return t;
}

void apply(const Theme& t) {
  ImGuiStyle style;
  style.WindowRounding = style.ChildRounding = 0;
  style.FrameRounding = style.PopupRounding = style.GrabRounding = 4;
  style.WindowBorderSize = 0;
  style.FrameBorderSize = 0;
  style.WindowPadding = {16, 14};
  style.FramePadding = {10, 6};
  style.ItemSpacing = {8, 8};
  style.ItemInnerSpacing = {6, 6};
  style.CellPadding = {6, 4};
  style.ScrollbarSize = 12;
  style.ScaleAllSizes(t.scale);
  const ImVec4 clear{0, 0, 0, 0};
  ImVec4* c = style.Colors;
  const auto lighter = [](ImVec4 v, float by) {
    return ImVec4(std::clamp(v.x + by, 0.f, 1.f), std::clamp(v.y + by, 0.f, 1.f),
                  std::clamp(v.z + by, 0.f, 1.f), v.w);
  };
  const float hover = t.tone == Tone::dark ? 0.05f : -0.05f;
  c[ImGuiCol_Text] = t.text, c[ImGuiCol_TextDisabled] = t.muted;
  c[ImGuiCol_WindowBg] = t.surface, c[ImGuiCol_ChildBg] = clear, c[ImGuiCol_PopupBg] = t.panel;
  c[ImGuiCol_Border] = t.line, c[ImGuiCol_Separator] = t.line;
  c[ImGuiCol_FrameBg] = t.raised, c[ImGuiCol_FrameBgHovered] = lighter(t.raised, hover),
  c[ImGuiCol_FrameBgActive] = lighter(t.raised, 2 * hover);
  c[ImGuiCol_Button] = t.raised, c[ImGuiCol_ButtonHovered] = lighter(t.raised, hover),
  c[ImGuiCol_ButtonActive] = lighter(t.raised, 2 * hover);
  c[ImGuiCol_Header] = t.raised, c[ImGuiCol_HeaderHovered] = lighter(t.raised, hover),
  c[ImGuiCol_HeaderActive] = lighter(t.raised, 2 * hover);
  c[ImGuiCol_Tab] = clear, c[ImGuiCol_TabHovered] = lighter(t.raised, hover),
  c[ImGuiCol_TabActive] = t.raised, c[ImGuiCol_TabUnfocused] = clear,
  c[ImGuiCol_TabUnfocusedActive] = t.raised;
  c[ImGuiCol_TitleBg] = c[ImGuiCol_TitleBgActive] = c[ImGuiCol_TitleBgCollapsed] = t.raised;
  c[ImGuiCol_SeparatorHovered] = c[ImGuiCol_SeparatorActive] = t.accent;
  c[ImGuiCol_CheckMark] = c[ImGuiCol_SliderGrab] = c[ImGuiCol_PlotHistogram] = t.accent;
  c[ImGuiCol_SliderGrabActive] = lighter(t.accent, hover);
  c[ImGuiCol_ScrollbarBg] = clear, c[ImGuiCol_ScrollbarGrab] = t.line,
  c[ImGuiCol_ScrollbarGrabHovered] = c[ImGuiCol_ScrollbarGrabActive] = t.muted;
  c[ImGuiCol_TableHeaderBg] = t.raised,
  c[ImGuiCol_TableBorderLight] = c[ImGuiCol_TableBorderStrong] = t.line;
  c[ImGuiCol_TableRowBg] = clear,
  c[ImGuiCol_TableRowBgAlt] = {t.raised.x, t.raised.y, t.raised.z, 0.4f};
  c[ImGuiCol_NavHighlight] = t.accent,
  c[ImGuiCol_TextSelectedBg] = {t.accent.x, t.accent.y, t.accent.z, 0.35f};
  c[ImGuiCol_ModalWindowDimBg] = {0, 0, 0, 0.55f};
  ImGui::GetStyle() = style;
}

void load_fonts(Theme& t) {
  ImGui::GetIO().Fonts->Clear();
  t.body = font("Inter-Regular.otf", t.px(15));
  t.strong = font("Inter-SemiBold.otf", t.px(15));
  t.small = font("Inter-Regular.otf", t.px(13));
  t.title = font("Inter-SemiBold.otf", t.px(21));
  t.large = font("Inter-SemiBold.otf", t.px(34));
}

ImU32 colour_u32(const ImVec4& c, float alpha) {
  return ImGui::ColorConvertFloat4ToU32({c.x, c.y, c.z, c.w * alpha});
}

ImVec4 residue_colour(Residue r) {
  const cv::Scalar bgr = colour_bgr(r);
  return {static_cast<float>(bgr[2] / 255), static_cast<float>(bgr[1] / 255),
          static_cast<float>(bgr[0] / 255), 1};
}

double contrast(const ImVec4& a, const ImVec4& b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

}  // namespace verdigrid
