#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void draw_tools(ViewerState& state) {
  const std::pair<Tool, const char*> tools[] = {
      {Tool::pin, "Pin"}, {Tool::arrow, "Arrow"}, {Tool::outline, "Outline"}};
  for (const auto& [tool, label] : tools) {
    if (tool != Tool::pin) ImGui::SameLine();
    if (ImGui::RadioButton(label, state.tool == tool))
      state.tool = tool, state.drafts.tool_px.clear();
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
  std::string shown = "no close-up";
  std::vector<const Intake::PhotoRow*> others;
  for (const Intake::BoardRow& board : desk.intake().boards)
    for (const Intake::PhotoRow& row : board.photos)
      if (row.id != desk.intake().photo_id) {
        others.push_back(&row);
        if (row.photo.sha256 == note.photo_sha256) shown = row.photo.name;
      }
  if (others.empty()) return;
  ImGui::SetNextItemWidth(-t.px(90));
  if (!ImGui::BeginCombo("photo", shown.c_str())) return;
  Note changed = note;
  for (const Intake::PhotoRow* row : others)
    if (ImGui::Selectable(fmt::format("{}##{}", row->photo.name, row->id).c_str()))
      changed.photo_sha256 = row->photo.sha256;
  if (ImGui::Selectable("no close-up")) changed.photo_sha256.clear();
  if (changed.photo_sha256 != note.photo_sha256) actions.push_back(ChangeNote{changed});
  ImGui::EndCombo();
}

void draw_note(const Desk& desk, const Note& note, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  ImGui::PushID(note.id);
  Note changed = note;
  const std::string title =
      fmt::format("{} {}   {}", note.id, name(note.kind), place_of(desk, note));
  ImGui::PushFont(t.strong);
  const float remove = ImGui::CalcTextSize("Remove").x + 2 * ImGui::GetStyle().FramePadding.x;
  if (ImGui::Selectable(title.c_str(), false, 0,
                        {ImGui::GetContentRegionAvail().x - remove - t.px(10), 0}))
    go_to_region(desk, state, bounding_box(note.points_px));
  ImGui::PopFont();
  ImGui::SameLine(ImGui::GetContentRegionMax().x - remove);
  if (ImGui::SmallButton("Remove")) actions.push_back(RemoveNote{note.id});
  ImGui::SetNextItemWidth(-1);
  note_field(state, note, "##text", "What is suspect here?", note.text,
             [&](const std::string& text) {
               changed.text = text;
               actions.push_back(ChangeNote{changed});
             });
  const std::string part = part_at(desk, note);
  ImGui::SetNextItemWidth(t.px(110));
  note_field(state, note, "part", part.empty() ? "C12" : part.c_str(), note.part,
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
    if (ImGui::RadioButton(name(s), note.state == s))
      changed.state = s, actions.push_back(ChangeNote{changed});
  }
  ImGui::SameLine();
  bool rework = note.wants_rework;
  if (ImGui::Checkbox("rework", &rework))
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
  heading(state.theme, "Notes");
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

}  // namespace verdigrid
