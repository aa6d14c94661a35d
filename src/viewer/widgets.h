// Small pieces that several panels share. UI thread only.
#pragma once

#include <string>

#include "viewer/state.h"

namespace verdigrid {

void heading(const Theme& theme, const char* text);
void muted_text(const Theme& theme, const std::string& text);  // wrapped
void wrapped(const std::string& text);
void wrapped_tooltip(const Theme& theme, const std::string& text);
bool main_button(const Theme& theme, const char* label,
                 float width = 0);  // the one thing to do next
// Greyed when `why_not` is not empty, which is then its tooltip.
bool button(const char* label, const std::string& why_not = {}, float width = 0);
void residue_sign(const Theme& theme, Residue r);  // coloured letter, stays on the line
void residue_chip(ImDrawList& list, const Theme& theme, ImVec2 centre, Residue r, float radius);
// Label at the left, value at the right of the panel.
void row(const Theme& theme, const char* label, const std::string& value);
std::string area_text(const Amount& amount, bool has_mm,
                      double board_area);  // "12.3 mm² (10.9-13.8)" or "0.8 % of the board"

}  // namespace verdigrid
