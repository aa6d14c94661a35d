#include <fmt/format.h>

#include <utility>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

const char* way_words(ScaleWay way) {
  switch (way) {
    case ScaleWay::board_size_outline:
      return "board size, outline found";
    case ScaleWay::board_size_corners:
      return "board size, corners by hand";
    case ScaleWay::scale_card:
      return "scale card";
    case ScaleWay::two_points:
      return "two points";
    case ScaleWay::layout:
      return "layout";
    case ScaleWay::none:
      return "nothing yet";
  }
  return "";
}

void draw_found(const Theme& t, const Rectification& r) {
  row(t, "Scale from", way_words(r.way));
  if (r.px_per_mm) {
    row(t, "Scale",
        fmt::format("{:.2f} px/mm ({:.2f}\u2013{:.2f})", r.px_per_mm->value, r.px_per_mm->low,
                    r.px_per_mm->high));
    const cv::Size2d s = board_size(r);
    row(t, "Board", fmt::format("{:.1f} x {:.1f} mm", s.width, s.height));
  } else {
    row(t, "Scale", "not known");
    muted_text(t,
               "Areas are given in % of the board. Type the board's size, or measure two points, "
               "to get mm\u00b2.");
  }
  if (r.tilt_deg) row(t, "Tilt", fmt::format("{:.1f}\u00b0", *r.tilt_deg));
  for (const std::string& remark : r.remarks) muted_text(t, remark);
}

// A draft is taken from the document when another photo came or the scale was changed, by undo too,
// and kept while it is typed.
void refresh_drafts(const Desk& desk, ViewerState& state) {
  Drafts& d = state.drafts;
  const ScaleChoice& s = desk.document()->scale;
  if (d.for_revision == desk.derived().photo_revision && d.scale_seen == s) return;
  d.for_revision = desk.derived().photo_revision;
  d.scale_seen = s;
  d.board_mm[0] = s.board_mm ? static_cast<float>(s.board_mm->width) : 0;
  d.board_mm[1] = s.board_mm ? static_cast<float>(s.board_mm->height) : 0;
  d.distance_mm = s.distance_mm ? static_cast<float>(*s.distance_mm) : 0;
  d.corners_px = s.corners_px;
}

void draw_board_size(const Desk& desk, ViewerState& state, Actions& actions) {
  Drafts& d = state.drafts;
  heading(state.theme, "Board size");
  muted_text(
      state.theme,
      "Width and height as the front reads, measured with a ruler: the best scale there is.");
  ImGui::SetNextItemWidth(state.theme.px(190));
  if (std::exchange(d.focuses_size, false)) ImGui::SetKeyboardFocusHere();
  ImGui::InputFloat2("mm", d.board_mm, "%.1f");
  if (!ImGui::IsItemDeactivatedAfterEdit()) return;
  ScaleChoice s = desk.document()->scale;
  if (d.board_mm[0] > 0 && d.board_mm[1] > 0)
    s.board_mm = cv::Size2d(d.board_mm[0], d.board_mm[1]);
  else
    s.board_mm.reset();
  actions.push_back(SetScale{s, s.board_mm ? "Board size" : "Board size taken away"});
}

void set_corners(const ScaleChoice& now, const Rectification& r, ViewerState& state,
                 Actions& actions) {
  ScaleChoice s = now;
  const cv::Rect2d box =
      bounding_box(r.outline_px.empty()
                       ? Ring{{0, 0}, {r.photo_size_px.width - 1.0, r.photo_size_px.height - 1.0}}
                       : r.outline_px.outer);
  s.corners_px = {box.tl(), {box.br().x, box.y}, box.br(), {box.x, box.br().y}};
  state.drafts.corners_px = s.corners_px;
  actions.push_back(SetScale{s, "Corners by hand"});
}

void draw_corners(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const ScaleChoice& now = desk.document()->scale;
  heading(t, "Corners");
  const std::string why_not =
      now.board_mm ? "" : "Type the board size first: corners alone give no scale.";
  if (now.corners_px.empty()) {
    muted_text(t,
               "The outline was looked for by itself. Where it is wrong, set the four corners and "
               "drag them.");
    const Rectification* r = desk.derived().rectification.get();
    if (button("Set corners by hand  (C)", why_not) && r) set_corners(now, *r, state, actions);
  } else {
    muted_text(
        t,
        "Drag the four corners on the photo; each goes to the nearest corner of edges (Alt lets "
        "go). L shows a loupe.");
    if (button("Find the outline again")) {
      ScaleChoice s = now;
      s.corners_px.clear();
      state.drafts.corners_px.clear();
      actions.push_back(SetScale{s, "Outline found by itself"});
    }
  }
}

void draw_other_scale(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const ScaleChoice& now = desk.document()->scale;
  heading(t, "No ruler at hand");
  ScaleChoice s = now;
  bool card = now.uses_card;
  if (tick_box("The printed scale card is in view", &card))
    s.uses_card = card,
    actions.push_back(SetScale{s, card ? "Scale card in view" : "No scale card"});
  muted_text(t, "Or measure two points on the photo (M) whose distance you know, then type it:");
  ImGui::SetNextItemWidth(t.px(110));
  ImGui::InputFloat("mm between them", &state.drafts.distance_mm, 0, 0, "%.2f");
  if (!ImGui::IsItemDeactivatedAfterEdit()) return;
  if (state.drafts.tool_px.size() == 2 && state.drafts.distance_mm > 0) {
    s.points_px = state.drafts.tool_px;
    s.distance_mm = state.drafts.distance_mm;
    s.board_mm.reset();
    s.corners_px.clear();
    actions.push_back(SetScale{s, "Two points and their distance"});
  }
}

}  // namespace

void draw_straighten_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  refresh_drafts(desk, state);
  title(t, "Straighten and scale");
  if (const Rectification* r = desk.derived().rectification.get())
    draw_found(t, *r);
  else
    muted_text(t, "The board is being looked for.");
  ImGui::Separator();
  draw_board_size(desk, state, actions);
  draw_corners(desk, state, actions);
  draw_other_scale(desk, state, actions);
  heading(t, "Turn the board");
  for (const int turn : {0, 90, 180, 270}) {
    if (turn > 0) ImGui::SameLine();
    const bool is_it = desk.document()->scale.turn_deg == turn;
    if (radio(fmt::format("{}\u00b0", turn).c_str(), is_it) && !is_it) {
      ScaleChoice s = desk.document()->scale;
      s.turn_deg = turn;
      actions.push_back(SetScale{s, fmt::format("Turn {}\u00b0", turn)});
    }
  }
}

void take_straighten_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  refresh_drafts(desk, state);
  const ScaleChoice& now = desk.document()->scale;
  if (was_pressed(state, 'S')) state.drafts.focuses_size = true;
  if (was_pressed(state, 'C') && now.board_mm && now.corners_px.empty())
    if (const Rectification* r = desk.derived().rectification.get())
      set_corners(now, *r, state, actions);
}

}  // namespace verdigrid
