#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

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

void draw_note(const Note& note, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  Drafts& d = state.drafts;
  ImGui::PushID(note.id);
  ImGui::PushFont(t.strong);
  ImGui::TextUnformatted(fmt::format("{} {}", note.id, name(note.kind)).c_str());
  ImGui::PopFont();
  ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize("Remove").x -
                  2 * ImGui::GetStyle().FramePadding.x);
  if (ImGui::SmallButton("Remove")) actions.push_back(RemoveNote{note.id});
  Note changed = note;
  std::string text = d.note_id == note.id ? d.note_text : note.text;
  ImGui::SetNextItemWidth(-1);
  if (ImGui::InputTextWithHint("##text", "What is suspect here?", &text))
    d.note_id = note.id, d.note_text = text;
  if (ImGui::IsItemDeactivatedAfterEdit()) {
    changed.text = text;
    d.note_id = 0;
    actions.push_back(ChangeNote{changed});
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
  ImGui::Separator();
  ImGui::PopID();
}

}  // namespace

void draw_notes_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  heading(state.theme, "Notes");
  draw_tools(state);
  ImGui::Separator();
  const Document& d = *desk.document();
  if (d.notes.empty()) muted_text(state.theme, "No notes yet.");
  for (const Note& note : d.notes) draw_note(note, state, actions);
}

}  // namespace verdigrid
