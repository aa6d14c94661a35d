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
// A crop of the photo, or a plain ground while there is none.
void crop_picture(ImDrawList& list, const ViewerState& state, cv::Rect crop_px, ImVec2 at,
                  float side);
// A button that shows whether it is the chosen one; true when it was pressed.
bool choice(const Theme& theme, const char* label, bool is_chosen, const std::string& why_not = {});
// The next item, of this label's width as a button, stays on the line when there is room.
void same_line_if_room(const char* next_label);

}  // namespace verdigrid
