#include <fmt/format.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void draw_summary(const Theme& t, const Survey& s) {
  const ZoneTable& z = s.zones;
  const double unseen = z.total.unseen.total_percent;
  if (s.nothing_found()) {
    wrapped(fmt::format("Nothing found in what this photo shows; {:.0f} % unseen; not a clearance.",
                        unseen));
  } else {
    row(t, "Affected", area_text(z.total.affected, z.has_mm, z.total.area));
    row(t, "First word", name(z.total.severity));
    row(t, "Unseen by this photo", fmt::format("{:.0f} %", unseen));
  }
  muted_text(t, "Not seen: the other side, and under every part.");
}

void draw_setting(const Desk& desk, Actions& actions) {
  const Setting now = desk.document()->setting;
  const std::pair<Setting, const char*> settings[] = {{Setting::show_less, "Show less"},
                                                      {Setting::normal, "Normal"},
                                                      {Setting::show_more, "Show more"}};
  for (const auto& [setting, label] : settings) {
    if (setting != settings[0].first) ImGui::SameLine();
    if (ImGui::RadioButton(label, now == setting)) actions.push_back(SetSetting{setting});
  }
}

void draw_layers(ViewerState& state) {
  ImGui::Checkbox("Residue", &state.layers.residue);
  ImGui::SameLine();
  ImGui::Checkbox("Rings", &state.layers.rings);
  ImGui::SameLine();
  ImGui::Checkbox("Grid", &state.layers.grid);
  ImGui::SameLine();
  ImGui::Checkbox("Unseen", &state.layers.unseen);
  ImGui::SetNextItemWidth(-state.theme.px(130));
  ImGui::SliderFloat("Shown from", &state.threshold, 0.05f, 0.95f, "%.2f suspicion");
}

void select(const Survey& s, ViewerState& state, const Finding& f) {
  state.selected_finding = f.id;
  const cv::Rect2d box(f.box_px);
  const double margin = 0.03 * std::max(s.photo_size_px.width, s.photo_size_px.height);
  state.view =
      fitted_to(state.canvas,
                {box.x - margin, box.y - margin, box.width + 2 * margin, box.height + 2 * margin},
                state.view.quarter_turns);
}

std::string finding_square(const Survey& s, const Finding& f) {
  return square_at(s.zones.grid, board_point(s.rectification, f.centre_px)).value_or("-");
}

void draw_findings(const Survey& s, ViewerState& state) {
  const Theme& t = state.theme;
  heading(t, fmt::format("{} finding{}", s.findings.findings.size(),
                         s.findings.findings.size() == 1 ? "" : "s")
                 .c_str());
  for (const Finding& f : s.findings.findings) {
    ImGui::PushID(f.id);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float height = 2 * ImGui::GetTextLineHeight() + t.px(14);
    if (ImGui::Selectable("##finding", state.selected_finding == f.id, 0, {0, height}))
      select(s, state, f);
    if (ImGui::IsItemVisible()) {
      ImDrawList& list = *ImGui::GetWindowDrawList();
      residue_chip(list, t, {at.x + t.px(14), at.y + height / 2}, f.residue, t.px(11));
      const float x = at.x + t.px(36), line = ImGui::GetTextLineHeight();
      list.AddText({x, at.y + t.px(5)}, colour_u32(t.text),
                   fmt::format("{}  {}", finding_square(s, f), name(f.residue)).c_str());
      const std::string sure = fmt::format("{:.0f} %", 100 * f.confidence);
      list.AddText({ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x -
                        ImGui::CalcTextSize(sure.c_str()).x,
                    at.y + t.px(5)},
                   colour_u32(t.muted), sure.c_str());
      ImGui::PushClipRect({x, at.y},
                          {ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x, at.y + height},
                          true);
      list.AddText(t.small, t.px(13), {x, at.y + t.px(7) + line}, colour_u32(t.muted),
                   f.reason.c_str());
      ImGui::PopClipRect();
    }
    if (ImGui::IsItemHovered()) wrapped_tooltip(t, f.reason);
    ImGui::PopID();
  }
}

std::string zones_as_tsv(const ZoneTable& z) {
  std::string text =
      z.has_mm ? "square\taffected_mm2\tlow_mm2\thigh_mm2\tpercent\tunseen_percent\tfirst_word\n"
               : "square\tpercent\tunseen_percent\tfirst_word\n";
  for (const ZoneRow& r : z.squares) {
    text += r.name;
    if (z.has_mm)
      text += fmt::format("\t{:.3f}\t{:.3f}\t{:.3f}", r.affected.area.value, r.affected.area.low,
                          r.affected.area.high);
    text += fmt::format("\t{:.3f}\t{:.1f}\t{}\n", r.affected.percent.value, r.unseen.total_percent,
                        name(r.severity));
  }
  return text;
}

void draw_squares(const Survey& s, ViewerState& state) {
  const Theme& t = state.theme;
  heading(t, "Squares, worst first");
  std::vector<const ZoneRow*> rows;
  for (const ZoneRow& r : s.zones.squares)
    if (r.affected.px > 0) rows.push_back(&r);
  std::stable_sort(rows.begin(), rows.end(), [](const ZoneRow* a, const ZoneRow* b) {
    return a->affected.area.value > b->affected.area.value;
  });
  if (rows.empty()) return muted_text(t, "Nothing found in any square.");
  if (!ImGui::BeginTable("squares", 4, ImGuiTableFlags_RowBg | ImGuiTableFlags_SizingStretchProp))
    return;
  ImGui::TableSetupColumn("Square");
  ImGui::TableSetupColumn(s.zones.has_mm ? "mm\u00b2" : "px");
  ImGui::TableSetupColumn("%");
  ImGui::TableSetupColumn("First word");
  ImGui::TableHeadersRow();
  for (const ZoneRow* r : rows) {
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    ImGui::TextUnformatted(r->name.c_str());
    ImGui::TableNextColumn();
    ImGui::TextUnformatted(s.zones.has_mm ? fmt::format("{:.2f}", r->affected.area.value).c_str()
                                          : fmt::format("{}", r->affected.px).c_str());
    if (s.zones.has_mm && ImGui::IsItemHovered())
      ImGui::SetTooltip("%s", fmt::format("95 %%: {:.2f}\u2013{:.2f} mm\u00b2",
                                          r->affected.area.low, r->affected.area.high)
                                  .c_str());
    ImGui::TableNextColumn();
    ImGui::TextUnformatted(fmt::format("{:.2f}", r->affected.percent.value).c_str());
    ImGui::TableNextColumn();
    ImGui::TextUnformatted(name(r->severity));
  }
  ImGui::EndTable();
  if (button("Copy the table")) ImGui::SetClipboardText(zones_as_tsv(s.zones).c_str());
}

}  // namespace

void draw_survey_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  heading(t, "Survey");
  const Survey* s = desk.derived().survey.get();
  if (!s) return muted_text(t, "The photo is being surveyed.");
  draw_summary(t, *s);
  ImGui::Separator();
  draw_setting(desk, actions);
  draw_layers(state);
  ImGui::Separator();
  draw_findings(*s, state);
  draw_squares(*s, state);
}

}  // namespace verdigrid
