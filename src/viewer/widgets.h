// Small pieces that several panels share. UI thread only.
#pragma once

#include <string>

#include "viewer/state.h"

namespace verdigrid {

void title(const Theme& theme, const char* text);  // of a panel
void heading(const Theme& theme, const char* text);
void muted_text(const Theme& theme, const std::string& text);  // wrapped
// `text` broken into lines of at most `width` px at its spaces and line ends only: figures such as
// 0.09 stay whole. A word that is wider has a line of its own.
std::string in_lines(const std::string& text, float width);
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
// The middle of the picture as a square, or a plain ground while there is none.
void file_picture(ImDrawList& list, const Theme& theme, const FilePicture& picture, ImVec2 at,
                  float side);
// A button that shows whether it is the chosen one; true when it was pressed.
// Small enough to stand in a line of text, with an outline that is seen while it is empty.
bool tick_box(const char* label, bool* is_ticked);
bool radio(const char* label, bool is_chosen);
bool choice(const Theme& theme, const char* label, bool is_chosen, const std::string& why_not = {});
// The next item, of this label's width as a button, stays on the line when there is room.
void same_line_if_room(const char* next_label);

// Puts text on the line of tick boxes and radio buttons.
void align_to_small_frame();
float small_frame_inset();  // of their text below the top
// The name of what follows, at the left; what follows fills the line. Labels of it begin with ##.
enum class Follows { box, small_frame };
void field_label(const Theme& theme, const char* label, Follows follows = Follows::box);
// "aluminium-radial" to "aluminium radial".
std::string kind_words(PartKind kind);
// "take-off" to "Take-off".
std::string sentence_case(std::string text);
// Figures too small to be told apart from nothing.
std::string short_figure(double value);
// Cut off with three dots where it is wider than the room.
std::string cut_to(const std::string& text, float room);
// "1 zone", "2 zones".
std::string counted(size_t n, const char* one, const char* many);

// The tabs of a panel; the keys of state.tabs go through them.
class PanelTabs {
 public:
  PanelTabs(ViewerState& state, const char* id);
  ~PanelTabs();
  PanelTabs(const PanelTabs&) = delete;
  PanelTabs& operator=(const PanelTabs&) = delete;

  template <class Draw>
  void item(const std::string& label, Draw draw) {
    if (!begins(label)) return;
    draw();
    ImGui::EndTabItem();
  }

 private:
  bool begins(const std::string& label);
  ViewerState& state_;
  bool is_open_;
  int count_ = 0;
};

}  // namespace verdigrid
