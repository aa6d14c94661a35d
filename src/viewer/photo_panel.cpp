#include <fmt/format.h>

#include "report/figures.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

ImVec4 tone_of(const Theme& t, Verdict v) {
  return v == Verdict::reshoot ? t.warning : v == Verdict::good ? t.accent : t.text;
}

void draw_item(const Theme& t, const CheckItem& item) {
  ImGui::PushID(item.id.c_str());
  ImGui::PushFont(t.strong);
  std::string title = item.id;
  title[0] = static_cast<char>(std::toupper(title[0]));
  for (char& c : title)
    if (c == '-') c = ' ';
  ImGui::TextUnformatted(title.c_str());
  ImGui::PopFont();
  const char* verdict = name(item.verdict);
  ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(verdict).x);
  ImGui::PushStyleColor(ImGuiCol_Text, tone_of(t, item.verdict));
  ImGui::TextUnformatted(verdict);
  ImGui::PopStyleColor();
  muted_text(t, item.sentence);
  if (ImGui::IsItemHovered() && !item.source.empty())
    ImGui::SetTooltip("%s", fmt::format("{}; good to {:.3g}, usable to {:.3g}\nLimits: {}",
                                        figure(item.figure, item.unit), item.good_limit,
                                        item.usable_limit, item.source)
                                .c_str());
  ImGui::Spacing();
  ImGui::PopID();
}

}  // namespace

void draw_photo_panel(const Desk& desk, ViewerState& state) {
  const Theme& t = state.theme;
  const Document& d = *desk.document();
  const Derived& v = desk.derived();
  heading(t, d.photo_name.c_str());
  if (v.photo) {
    const cv::Size s = v.photo->size_px();
    muted_text(t, fmt::format("{} x {} px, {:.1f} megapixels, {}", s.width, s.height,
                              s.width * 1e-6 * s.height, v.photo->meta.format));
    if (v.photo->meta.captured_at) muted_text(t, "Taken " + *v.photo->meta.captured_at);
  }
  ImGui::Separator();
  if (!v.survey) {
    muted_text(t, "The photo is being checked.");
    return;
  }
  ImGui::PushStyleColor(ImGuiCol_Text, tone_of(t, v.survey->check.verdict));
  heading(t, fmt::format("The photo as a whole: {}", name(v.survey->check.verdict)).c_str());
  ImGui::PopStyleColor();
  for (const CheckItem& item : v.survey->check.items) draw_item(t, item);
  heading(t, "For looking only");
  ImGui::SetNextItemWidth(-t.px(90));
  ImGui::SliderFloat("Exposure", &state.exposure, 0.4f, 3, "%.2f");
  ImGui::SetNextItemWidth(-t.px(90));
  ImGui::SliderFloat("Contrast", &state.contrast, 0.6f, 2.5f, "%.2f");
  if (button("As it is")) state.exposure = state.contrast = 1;
}

}  // namespace verdigrid
