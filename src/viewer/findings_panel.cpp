#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>

#include "report/figures.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr float k_thumbnail = 56, k_row_padding = 5, k_least_list_height = 220;
constexpr double k_certain = 0.999;  // a person's word

const Finding* selected(const Desk& desk, const ViewerState& state) {
  if (const Survey* s = desk.derived().survey.get())
    for (const Finding& f : s->findings.findings)
      if (f.id == state.selected_finding) return &f;
  return nullptr;
}

std::string square_of(const Survey& s, const Finding& f) {
  return square_at(s.zones.grid, board_point(s.rectification, f.centre_px)).value_or("-");
}

std::string area_words(const Survey& s, const Finding& f) {
  if (!s.zones.has_mm) return fmt::format("{} px", f.area_px);
  return figure(static_cast<double>(f.area_px) * pixel_area_board(s.rectification, f.centre_px)) +
         " mm\u00b2";
}

void judge(const ViewerState& state, Actions& actions, EditKind kind,
           std::optional<Residue> residue = {}) {
  if (state.selected_finding != 0)
    actions.push_back(JudgeFinding{state.selected_finding, kind, residue});
}

void take_tool(ViewerState& state, Tool tool) {
  state.tool = state.tool == tool ? Tool::look : tool;
  state.drafts.tool_px.clear();
}

void draw_relabel(ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  muted_text(t, "It is (press the letter; Esc leaves it):");
  int in_row = 0;
  for (const Residue r : k_residues) {
    if (in_row++ % 2 != 0) ImGui::SameLine(ImGui::GetContentRegionMax().x / 2);
    residue_sign(t, r);
    if (ImGui::Button(std::string(name(r)).c_str())) {
      judge(state, actions, EditKind::relabel, r);
      state.relabels = false;
    }
  }
}

void draw_judgement(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Finding* f = selected(desk, state);
  const std::string none = f ? "" : "Choose a finding first: click one, or press J.";
  if (button("Accept (A)", none)) judge(state, actions, EditKind::accept);
  same_line_if_room("Dismiss (X)");
  if (button("Dismiss (X)", none)) judge(state, actions, EditKind::dismiss);
  same_line_if_room("Relabel (T)");
  if (button("Relabel (T)", none)) state.relabels = !state.relabels;
  same_line_if_room("Merge");
  if (button("Merge", none)) state.merge_from = state.selected_finding;
  if (none.empty() && ImGui::IsItemHovered())
    wrapped_tooltip(t, "With the next finding that is chosen (Shift+M).");
  if (state.merge_from != 0)
    muted_text(
        t, fmt::format("Choose the finding that {} is one with; Esc leaves it.", state.merge_from));
  if (f && state.relabels) draw_relabel(state, actions);
}

void draw_brushes(ViewerState& state) {
  const Theme& t = state.theme;
  const std::pair<Tool, const char*> tools[] = {{Tool::brush, "Brush (B)"},
                                                {Tool::eraser, "Eraser (E)"},
                                                {Tool::draw, "Outline (O)"},
                                                {Tool::split, "Split (S)"}};
  for (const auto& [tool, label] : tools) {
    if (tool != Tool::brush) same_line_if_room(label);
    if (choice(t, label, state.tool == tool)) take_tool(state, tool);
  }
  const bool paints = state.tool == Tool::brush || state.tool == Tool::draw;
  if (paints) {
    ImGui::SetNextItemWidth(t.px(150));
    if (ImGui::BeginCombo("##class", std::string(name(state.brush.residue)).c_str())) {
      for (const Residue r : k_residues)
        if (ImGui::Selectable(std::string(name(r)).c_str(), r == state.brush.residue))
          state.brush.residue = r;
      ImGui::EndCombo();
    }
  }
  if (state.tool == Tool::brush || state.tool == Tool::eraser) {
    if (paints) ImGui::SameLine();
    ImGui::SetNextItemWidth(-1);
    auto radius = static_cast<float>(state.brush.radius_screen);
    if (ImGui::SliderFloat("##radius", &radius, 2, 60, "%.0f wide"))
      state.brush.radius_screen = radius;
  }
  const char* what =
      state.tool == Tool::brush    ? "Draw over what was missed; [ and ] change the width."
      : state.tool == Tool::eraser ? "Draw over what is no residue."
      : state.tool == Tool::draw ? "Click round what was missed; click the first point to close it."
      : state.tool == Tool::split ? "Click two points: the finding is cut along the line."
                                  : nullptr;
  if (what) muted_text(t, what);
}

void draw_row(const Desk& desk, ViewerState& state, Actions& actions, const Finding& f) {
  const Theme& t = state.theme;
  const Survey& s = *desk.derived().survey;
  ImGui::PushID(f.id);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float side = t.px(k_thumbnail), pad = t.px(k_row_padding), height = side + 2 * pad;
  if (ImGui::Selectable("##finding", state.selected_finding == f.id, 0, {0, height}))
    select_finding(desk, state, actions, f.id, Go::there);
  if (ImGui::IsItemHovered()) wrapped_tooltip(t, f.reason);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const int margin = std::max(6, std::max(f.box_px.width, f.box_px.height) / 4);
  crop_picture(list, state,
               {f.box_px.x - margin, f.box_px.y - margin, f.box_px.width + 2 * margin,
                f.box_px.height + 2 * margin},
               {at.x + pad, at.y + pad}, side);
  const float x = at.x + side + 3 * pad,
              right = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x - pad,
              line = ImGui::GetTextLineHeight();
  residue_chip(list, t, {x + t.px(9), at.y + pad + line / 2 + t.px(1)}, f.residue, t.px(9));
  list.AddText({x + t.px(26), at.y + pad}, colour_u32(t.text),
               fmt::format("{}  {}", square_of(s, f), name(f.residue)).c_str());
  const std::string sure = f.confidence >= k_certain
                               ? "\u2713 by hand"
                               : fmt::format("{:.0f} % sure", 100 * f.confidence);
  list.AddText({right - ImGui::CalcTextSize(sure.c_str()).x, at.y + pad},
               colour_u32(f.confidence >= k_certain ? t.accent : t.muted), sure.c_str());
  list.AddText({x, at.y + pad + line + t.px(3)}, colour_u32(t.muted),
               fmt::format("{}   {}", f.id, area_words(s, f)).c_str());
  ImGui::PushFont(t.small);
  list.AddText({x, at.y + pad + 2 * (line + t.px(3))}, colour_u32(t.muted),
               cut_to(f.reason, right - x).c_str());
  ImGui::PopFont();
  ImGui::PopID();
}

void draw_list(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const auto& all = desk.derived().survey->findings.findings;
  const float height =
      std::max(t.px(k_least_list_height),
               ImGui::GetContentRegionAvail().y - 2 * ImGui::GetFrameHeightWithSpacing());
  ImGui::BeginChild("list", {0, height});
  const float row_height =
      t.px(k_thumbnail) + 2 * t.px(k_row_padding) + ImGui::GetStyle().ItemSpacing.y;
  if (state.scrolls_to_selected) {
    for (size_t i = 0; i < all.size(); ++i)
      if (all[i].id == state.selected_finding)
        ImGui::SetScrollY(static_cast<float>(i) * row_height - height / 3);
    state.scrolls_to_selected = false;
  }
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(all.size()), row_height);
  while (clipper.Step())
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i)
      draw_row(desk, state, actions, all[static_cast<size_t>(i)]);
  ImGui::EndChild();
}

// What was dismissed or erased can be brought back, also long after.
void draw_dismissed(const Desk& desk, const Theme& t, Actions& actions) {
  const auto& edits = desk.document()->edits;
  const auto is_gone = [](const MapEdit& e) { return e.kind == EditKind::dismiss; };
  const auto n = std::count_if(edits.begin(), edits.end(), is_gone);
  if (n == 0) return;
  if (!ImGui::CollapsingHeader(fmt::format("Dismissed ({})###dismissed", n).c_str())) return;
  for (size_t i = 0; i < edits.size(); ++i) {
    if (!is_gone(edits[i])) continue;
    ImGui::PushID(static_cast<int>(i));
    const cv::Rect2d box = bounding_box(edits[i].region_px.front().outer);
    const Survey& s = *desk.derived().survey;
    const cv::Point2d middle(box.x + box.width / 2, box.y + box.height / 2);
    ImGui::AlignTextToFramePadding();
    muted_text(t, square_at(s.zones.grid, board_point(s.rectification, middle)).value_or("-"));
    ImGui::SameLine();
    if (ImGui::Button("Bring back")) actions.push_back(TakeEditBack{i});
    ImGui::PopID();
  }
}

}  // namespace

void go_to_region(const Desk& desk, ViewerState& state, const cv::Rect2d& region) {
  if (!desk.derived().photo) return;
  const cv::Size photo = desk.derived().photo->size_px();
  const double m = 0.04 * std::max(photo.width, photo.height);
  state.view = fitted_to(state.canvas,
                         {region.x - m, region.y - m, region.width + 2 * m, region.height + 2 * m},
                         state.view.quarter_turns);
}

void select_finding(const Desk& desk, ViewerState& state, Actions& actions, int id, Go go) {
  if (state.merge_from != 0 && state.merge_from != id)
    actions.push_back(MergeFindings{state.merge_from, id});
  state.merge_from = 0;
  state.selected_finding = id;
  state.relabels = false;
  state.scrolls_to_selected = true;
  const Finding* f = selected(desk, state);
  if (f) state.brush.residue = f->residue;
  if (f && go == Go::there) go_to_region(desk, state, cv::Rect2d(f->box_px));
}

void select_next_finding(const Desk& desk, ViewerState& state, Actions& actions, int by) {
  const Survey* s = desk.derived().survey.get();
  if (!s || s->findings.findings.empty()) return;
  const auto& list = s->findings.findings;
  int at = by > 0 ? -1 : 0;
  for (size_t i = 0; i < list.size(); ++i)
    if (list[i].id == state.selected_finding) at = static_cast<int>(i);
  const int n = static_cast<int>(list.size());
  state.step = Step::survey;
  select_finding(desk, state, actions, list[static_cast<size_t>((at + by + n) % n)].id, Go::there);
}

void draw_findings(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  draw_judgement(desk, state, actions);
  if (!state.relabels) draw_brushes(state);
  if (desk.derived().survey->nothing_found())
    muted_text(t,
               "Nothing is flagged. Look at the photo yourself: what was missed can be drawn with "
               "the brush, or show more.");
  else
    draw_list(desk, state, actions);
  draw_dismissed(desk, t, actions);
}

void take_review_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  const bool is_shift =
      std::any_of(state.keys.begin(), state.keys.end(), [](const KeyPress& k) { return k.shift; });
  if (state.relabels) {
    for (const Residue r : k_residues)
      if (was_pressed(state, letter(r))) {
        judge(state, actions, EditKind::relabel, r);
        state.relabels = false;
      }
    return;
  }
  if (was_pressed(state, GLFW_KEY_A)) judge(state, actions, EditKind::accept);
  if (was_pressed(state, GLFW_KEY_X)) judge(state, actions, EditKind::dismiss);
  if (was_pressed(state, GLFW_KEY_T) && selected(desk, state)) state.relabels = true;
  if (was_pressed(state, GLFW_KEY_M) && is_shift) state.merge_from = state.selected_finding;
  if (was_pressed(state, GLFW_KEY_B)) take_tool(state, Tool::brush);
  if (was_pressed(state, GLFW_KEY_E)) take_tool(state, Tool::eraser);
  if (was_pressed(state, GLFW_KEY_O)) take_tool(state, Tool::draw);
  if (was_pressed(state, GLFW_KEY_S)) take_tool(state, Tool::split);
  constexpr double k_width_step = 1.25;
  if (was_pressed(state, GLFW_KEY_LEFT_BRACKET, Held::repeats))
    state.brush.radius_screen = std::max(2.0, state.brush.radius_screen / k_width_step);
  if (was_pressed(state, GLFW_KEY_RIGHT_BRACKET, Held::repeats))
    state.brush.radius_screen = std::min(60.0, state.brush.radius_screen * k_width_step);
}

}  // namespace verdigrid
