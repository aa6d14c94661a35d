#include <fmt/format.h>

#include "report/figures.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void draw_summary(const Theme& t, const Survey& s) {
  const ZoneTable& z = s.zones;
  if (s.nothing_found()) {
    wrapped(nothing_found_sentence(s));
  } else {
    row(t, "Affected", amount_figure(z.total.affected, z.has_mm));
    row(t, "First word", name(z.total.severity));
    row(t, "Unseen by this photo", percent_figure(z.total.unseen.total_percent));
  }
  if (s.review)
    row(t, "Review",
        fmt::format("{} answer{}, {} change{} by hand", s.review->answers,
                    s.review->answers == 1 ? "" : "s", s.review->edits,
                    s.review->edits == 1 ? "" : "s"));
}

void draw_setting(const Desk& desk, const Theme& t, Actions& actions) {
  const Setting now = desk.document()->setting;
  const std::pair<Setting, const char*> settings[] = {{Setting::show_less, "Show less"},
                                                      {Setting::normal, "Normal"},
                                                      {Setting::show_more, "Show more"}};
  for (const auto& [setting, label] : settings) {
    if (setting != settings[0].first) same_line_if_room(label);
    if (choice(t, label, now == setting) && now != setting) actions.push_back(SetSetting{setting});
  }
}

void draw_layers(ViewerState& state) {
  tick_box("Residue", &state.layers.residue);
  ImGui::SameLine();
  tick_box("Rings", &state.layers.rings);
  ImGui::SameLine();
  tick_box("Grid", &state.layers.grid);
  ImGui::SameLine();
  tick_box("Unseen", &state.layers.unseen);
  bool by_suspicion = state.threshold.has_value();
  if (tick_box("Look at suspicion from", &by_suspicion))
    state.threshold = by_suspicion ? std::optional(0.5f) : std::nullopt;
  if (ImGui::IsItemHovered())
    wrapped_tooltip(
        state.theme,
        "For looking only: shows every pixel whose suspicion is at least this, whatever "
        "the survey flagged. Areas stay those of the survey.");
  if (!state.threshold) return;
  ImGui::SameLine();
  ImGui::SetNextItemWidth(-1);
  float percent = 100 * *state.threshold;
  if (ImGui::SliderFloat("##threshold", &percent, 5, 95, "%.0f %%"))
    state.threshold = percent / 100;
}

}  // namespace

void draw_survey_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Survey");
  const Survey* s = desk.derived().survey.get();
  if (!s) return muted_text(t, "The photo is being surveyed.");
  draw_summary(t, *s);
  ImGui::Separator();
  draw_setting(desk, t, actions);
  draw_layers(state);
  PanelTabs tabs(state, "survey");
  tabs.item(fmt::format("Findings ({})###findings", s->findings.findings.size()),
            [&] { draw_findings(desk, state, actions); });
  tabs.item("Zones", [&] { draw_zone_table(desk, state); });
  tabs.item("Unseen", [&] { draw_unseen(desk, state, actions); });
  ImGui::Separator();
  if (button("Report (HTML, PDF)")) actions.push_back(SaveReport{ReportOf::survey});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t, "The survey as it stands, as a document beside the job book (Ctrl+R).");
  same_line_if_room("Save survey and review");
  if (button("Save survey and review")) actions.push_back(SaveSurvey{});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t,
                    "survey.json, review.json, zones.csv and the pictures, as a folder beside the "
                    "job book (Ctrl+S).");
}

}  // namespace verdigrid
