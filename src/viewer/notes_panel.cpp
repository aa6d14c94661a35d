#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void take_tool(ViewerState& state, Tool tool) {
  state.tool = state.tool == tool ? Tool::look : tool;
  state.drafts.tool_px.clear();
}

void draw_tools(ViewerState& state) {
  const std::pair<Tool, const char*> tools[] = {
      {Tool::pin, "Pin (P)"}, {Tool::arrow, "Arrow (A)"}, {Tool::outline, "Outline (O)"}};
  for (const auto& [tool, label] : tools) {
    if (tool != Tool::pin) same_line_if_room(label);
    if (choice(state.theme, label, state.tool == tool)) take_tool(state, tool);
  }
  const char* what = state.tool == Tool::pin     ? "Click a suspect place on the photo."
                     : state.tool == Tool::arrow ? "Click where it starts, then the tip."
                     : state.tool == Tool::outline
                         ? "Click round the place; click the first point again to close it."
                         : "Choose one, then mark the photo.";
  muted_text(state.theme, what);
}

// "C4, battery corner": where the note's first point lies.
std::string place_of(const Desk& desk, const Note& note) {
  const Survey* s = desk.derived().survey.get();
  if (!s) return {};
  const cv::Point2d p = board_point(s->rectification, note.points_px.back());
  std::string place = square_at(s->zones.grid, p).value_or("");
  if (const Layout* layout = desk.derived().layout.get())
    for (const Zone& zone : layout->zones)
      if (contains(zone.polygon, p)) place += (place.empty() ? "" : ", ") + zone.name;
  return place;
}

// The part whose body the note points into, when the layout knows one.
std::string part_at(const Desk& desk, const Note& note) {
  const Layout* layout = desk.derived().layout.get();
  if (!layout || !desk.derived().survey) return {};
  const Rectification& r = desk.derived().survey->rectification;
  for (const Part& part : layout->parts)
    if (part.side == r.side && part.has_body() &&
        contains({body_ring(part), {}}, board_point(r, note.points_px.back())))
      return part.designator;
  return {};
}

template <class Commit>
void note_field(ViewerState& state, const Note& note, const char* label, const char* hint,
                const std::string& value, Commit commit) {
  Drafts& d = state.drafts;
  const bool is_mine = d.note_id == note.id && d.note_field == label;
  std::string text = is_mine ? d.note_text : value;
  if (ImGui::InputTextWithHint(label, hint, &text))
    d.note_id = note.id, d.note_field = label, d.note_text = text;
  if (!ImGui::IsItemDeactivatedAfterEdit()) return;
  d.note_id = 0;
  commit(text);
}

void draw_photo(const Desk& desk, const Note& note, const Theme& t, Actions& actions) {
  std::string shown = "none";
  std::vector<const Intake::PhotoRow*> others;
  for (const Intake::BoardRow& board : desk.intake().boards)
    for (const Intake::PhotoRow& row : board.photos)
      if (row.id != desk.intake().photo_id) {
        others.push_back(&row);
        if (row.photo.sha256 == note.photo_sha256) shown = row.photo.name;
      }
  if (others.empty()) return;
  field_label(t, "close-up");
  if (!ImGui::BeginCombo("##photo", shown.c_str())) return;
  Note changed = note;
  for (const Intake::PhotoRow* row : others)
    if (ImGui::Selectable(fmt::format("{}##{}", row->photo.name, row->id).c_str()))
      changed.photo_sha256 = row->photo.sha256;
  if (ImGui::Selectable("no close-up")) changed.photo_sha256.clear();
  if (changed.photo_sha256 != note.photo_sha256) actions.push_back(ChangeNote{changed});
  ImGui::EndCombo();
}

void select_note(const Desk& desk, ViewerState& state, const Note& note) {
  state.selected_note = note.id;
  go_to_region(desk, state, bounding_box(note.points_px));
}

void draw_note(const Desk& desk, const Note& note, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  ImGui::PushID(note.id);
  Note changed = note;
  const std::string heading =
      fmt::format("{} {}   {}", note.id, name(note.kind), place_of(desk, note));
  ImGui::PushFont(t.strong);
  const float remove = ImGui::CalcTextSize("Remove").x + 2 * ImGui::GetStyle().FramePadding.x;
  if (ImGui::Selectable(heading.c_str(), state.selected_note == note.id, 0,
                        {ImGui::GetContentRegionAvail().x - remove - t.px(10), 0}))
    select_note(desk, state, note);
  ImGui::PopFont();
  ImGui::SameLine(ImGui::GetContentRegionMax().x - remove);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding,
                      {ImGui::GetStyle().FramePadding.x, small_frame_inset()});
  if (ImGui::Button("Remove")) actions.push_back(RemoveNote{note.id});
  ImGui::PopStyleVar();
  ImGui::SetNextItemWidth(-1);
  note_field(state, note, "##text", "What is suspect here?", note.text,
             [&](const std::string& text) {
               changed.text = text;
               actions.push_back(ChangeNote{changed});
             });
  const std::string part = part_at(desk, note);
  field_label(t, "part");
  ImGui::SetNextItemWidth(t.px(120));
  note_field(state, note, "##part", part.empty() ? "C12" : part.c_str(), note.part,
             [&](const std::string& text) {
               changed.part = text;
               actions.push_back(ChangeNote{changed});
             });
  if (!part.empty() && note.part != part) {
    ImGui::SameLine();
    if (ImGui::SmallButton(("It is " + part).c_str()))
      changed.part = part, actions.push_back(ChangeNote{changed});
  }
  for (const NoteState s : {NoteState::suspect, NoteState::to_do, NoteState::done}) {
    if (s != NoteState::suspect) ImGui::SameLine();
    if (radio(name(s), note.state == s)) changed.state = s, actions.push_back(ChangeNote{changed});
  }
  ImGui::SameLine();
  bool rework = note.wants_rework;
  if (tick_box("rework", &rework))
    changed.wants_rework = rework, actions.push_back(ChangeNote{changed});
  draw_photo(desk, note, t, actions);
  ImGui::Separator();
  ImGui::PopID();
}

// Which notes are listed: all, or those of one state.
void draw_filter(const Document& d, ViewerState& state) {
  const auto count = [&](std::optional<NoteState> s) {
    return std::count_if(d.notes.begin(), d.notes.end(),
                         [&](const Note& n) { return !s || n.state == *s; });
  };
  const std::pair<std::optional<NoteState>, const char*> choices[] = {
      {std::nullopt, "all"},
      {NoteState::suspect, name(NoteState::suspect)},
      {NoteState::to_do, name(NoteState::to_do)},
      {NoteState::done, name(NoteState::done)}};
  for (const auto& [which, label] : choices) {
    const std::string text = fmt::format("{} ({})###{}", label, count(which), label);
    if (which) same_line_if_room(text.c_str());
    if (choice(state.theme, text.c_str(), state.notes_shown == which)) state.notes_shown = which;
  }
}

}  // namespace

void draw_notes_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  title(state.theme, "Notes");
  draw_tools(state);
  ImGui::Separator();
  const Document& d = *desk.document();
  if (d.notes.empty())
    return muted_text(state.theme, "No notes yet: press P and click a suspect place.");
  draw_filter(d, state);
  for (const Note& note : d.notes)
    if (!state.notes_shown || note.state == *state.notes_shown)
      draw_note(desk, note, state, actions);
}

void take_notes_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  const std::pair<int, Tool> tools[] = {
      {'P', Tool::pin}, {'A', Tool::arrow}, {'O', Tool::outline}, {'M', Tool::measure}};
  for (const auto& [key, tool] : tools)
    if (was_pressed(state, key)) take_tool(state, tool);
  const auto& notes = desk.document()->notes;
  if (notes.empty()) return;
  const int n = static_cast<int>(notes.size());
  int at = -1;
  for (int i = 0; i < n; ++i)
    if (notes[static_cast<size_t>(i)].id == state.selected_note) at = i;
  const int by = was_pressed(state, 'J', Held::repeats) - was_pressed(state, 'K', Held::repeats);
  if (by != 0) {
    const int from = at < 0 && by < 0 ? 0 : at;
    select_note(desk, state, notes[static_cast<size_t>((from + by + n) % n)]);
  }
  if (was_pressed(state, GLFW_KEY_DELETE) && at >= 0)
    actions.push_back(RemoveNote{state.selected_note});
}

}  // namespace verdigrid
