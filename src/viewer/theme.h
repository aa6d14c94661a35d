// Colours, spacing and fonts of the window: dark and light, any scale. All texts keep WCAG AA
// contrast (4.5 : 1) on the surface they lie on.
#pragma once

#include <imgui.h>

#include "detect/residue.h"

namespace verdigrid {

enum class Tone { dark, light };

struct Theme {
  Tone tone = Tone::dark;
  float scale = 1;  // HiDPI times the person's own zoom
  ImVec4 surface, panel, raised, line, text, muted, accent, on_accent, warning;
  ImFont* body = nullptr;
  ImFont* strong = nullptr;
  ImFont* small = nullptr;
  ImFont* title = nullptr;
  ImFont* large = nullptr;  // readable from a metre away

  float px(float design_px) const { return design_px * scale; }
};

Theme theme_of(Tone tone, float scale);
void apply(const Theme& theme);  // to ImGui's style
void load_fonts(Theme& theme);   // into the current font atlas; Inter where the system has it,
                                 // ImGui's own font otherwise
ImU32 colour_u32(const ImVec4& c, float alpha = 1);
ImVec4 residue_colour(Residue r);

// Contrast ratio of WCAG 2.1 (relative luminance), 1..21.
double contrast(const ImVec4& a, const ImVec4& b);

}  // namespace verdigrid
