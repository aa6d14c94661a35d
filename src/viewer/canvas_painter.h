// Lines, rings and labels on the canvas, given in photo px. UI thread only.
#pragma once

#include <string>
#include <vector>

#include "viewer/label_places.h"
#include "viewer/state.h"

namespace verdigrid {

// What is chosen or to be done, on the photo: whatever the tone of the panels, boards are dark.
inline const ImVec4 k_accent_on_photo(0.36f, 0.76f, 0.68f, 1);

class CanvasPainter {
 public:
  CanvasPainter(ImDrawList& list, const ViewerState& state, LabelPlaces& places)
      : list_(list), state_(state), places_(places) {}
  ImVec2 at(cv::Point2d p_px) const {
    const cv::Point2d p = screen_from_photo(state_.view, state_.canvas, p_px);
    return {static_cast<float>(p.x), static_cast<float>(p.y)};
  }
  // A light line with a dark one under it, readable on any board.
  void line(cv::Point2d a, cv::Point2d b, ImU32 colour, float width) const {
    list_.AddLine(at(a), at(b), IM_COL32(0, 0, 0, 150), width + state_.theme.px(2));
    list_.AddLine(at(a), at(b), colour, width);
  }
  void ring(const Ring& ring, ImU32 colour, float width) const {
    for (size_t i = 0; i < ring.size(); ++i)
      line(ring[i], ring[(i + 1) % ring.size()], colour, width);
  }
  void label(ImVec2 p, const std::string& text) const {
    const ImVec2 size = ImGui::CalcTextSize(text.c_str());
    list_.AddRectFilled({p.x - 3, p.y - 1}, {p.x + size.x + 3, p.y + size.y + 1},
                        IM_COL32(0, 0, 0, 160), 3);
    list_.AddText(p, IM_COL32(255, 255, 255, 240), text.c_str());
  }
  // At the first of these places that is free; false when none is.
  bool label_if_free(const std::vector<cv::Point2f>& wanted, const std::string& text) const;
  // Any simple polygon, holes left out of account; triangulated here, since ImGui fills convex ones
  // only.
  void fill(const Ring& ring, ImU32 colour) const;
  ImDrawList& list() const { return list_; }
  const ViewerState& state() const { return state_; }
  LabelPlaces& places() const { return places_; }

 private:
  ImDrawList& list_;
  const ViewerState& state_;
  LabelPlaces& places_;
};

// Zones, parts and the look-here-first map of the layout that lies on the photo.
void draw_layout_on_canvas(const Desk& desk, const CanvasPainter& paint);

void draw_grid_lines(const CanvasPainter& paint, const Survey& s);
void draw_square_names(const CanvasPainter& paint, const Survey& s);
void draw_scale_bar(const CanvasPainter& paint, const Survey& s);
// What other names give way to: the scale bar, the numbers of notes, and names of squares that
// stand at the edge alone. Called before any of them is drawn.
void keep_places_free(const CanvasPainter& paint, const Survey& s, const std::vector<Note>& notes,
                      bool has_grid);
cv::Point2d sign_px(const Note& note);  // where a note carries its number

// Frames of the close-ups that lie on the photo; a click on one's edge opens it.
void draw_close_ups(const Desk& desk, const CanvasPainter& paint);
const KeptCloseUp* close_up_at(const Desk& desk, const ViewerState& state, cv::Point2d p_px);

// What is being placed with the tool, and the tool's hint at the cursor.
void draw_tool(const Desk& desk, const CanvasPainter& paint);
// Takes the mouse for tools, panning, zoom and selecting.
void handle_canvas_mouse(const Desk& desk, ViewerState& state, Actions& actions, bool is_over);
// The points of the chosen zone; true while the mouse is on one of them.
bool handle_zone_points(const Desk& desk, ViewerState& state, Actions& actions,
                        const CanvasPainter& paint, cv::Point2d mouse_px, bool is_over);
// A point of the tool at a place of the photo, by click or by key.
void place_tool_point(const Desk& desk, ViewerState& state, Actions& actions, cv::Point2d p_px);
// Closes the outline that is being placed.
void close_tool_outline(const Desk& desk, ViewerState& state, Actions& actions);
// Where the loupe stands, screen px; empty when it is off or the cursor is not on the photo.
cv::Rect2d loupe_screen(const ViewerState& state);
double loupe_scale(const ViewerState& state);  // screen px per photo px inside it

}  // namespace verdigrid
