#include <fmt/format.h>

#include "base/colour.h"
#include "layout/grid.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

std::string cursor_text(const Desk& desk, cv::Point2d p_px) {
  const Derived& d = desk.derived();
  const cv::Point at(cvRound(p_px.x), cvRound(p_px.y));
  const cv::Mat& bgr = d.photo->bgr;
  if (at.x < 0 || at.y < 0 || at.x >= bgr.cols || at.y >= bgr.rows) return {};
  std::string text = fmt::format("{}, {} px", at.x, at.y);
  if (d.survey) {
    const cv::Point2d b = board_point(d.survey->rectification, p_px);
    if (d.survey->rectification.has_scale()) text += fmt::format("   {:.1f}, {:.1f} mm", b.x, b.y);
    if (const auto square = square_at(d.survey->zones.grid, b)) text += "   " + *square;
    const auto id = static_cast<Residue>(d.survey->map.labels.at<uchar>(at));
    if (id != Residue::none) text += "   " + std::string(name(id));
    text += fmt::format("   suspicion {:.0f} %", d.survey->map.confidence.at<uchar>(at) / 2.55);
  }
  const cv::Vec3b c = bgr.at<cv::Vec3b>(at);
  const Lab lab = lab_from_srgb({c[2] / 255.0, c[1] / 255.0, c[0] / 255.0});
  return text + fmt::format("   L {:.0f} a {:.0f} b {:.0f}", lab.L, lab.a, lab.b);
}

}  // namespace

void draw_status_line(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at,
                      ImVec2 size) {
  const Theme& t = state.theme;
  ImGui::SetNextWindowPos(at);
  ImGui::SetNextWindowSize(size);
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.panel);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {t.px(16), 0});
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {t.px(8), t.px(2)});
  ImGui::Begin("status", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  ImGui::PushFont(t.small);
  ImGui::SetCursorPosY((size.y - ImGui::GetFrameHeight()) / 2);
  ImGui::AlignTextToFramePadding();
  const auto running = desk.running();
  if (!running.empty()) {
    ImGui::TextUnformatted(running.front().label.c_str());
    ImGui::SameLine();
    ImGui::ProgressBar(static_cast<float>(running.front().share), {t.px(140), t.px(8)}, "");
    ImGui::SameLine();
    if (button("Stop")) actions.push_back(CancelJobs{});
  } else if (!desk.messages().empty()) {
    const Message& m = desk.messages().front();
    if (button("Dismiss")) actions.push_back(DismissMessage{});
    ImGui::SameLine();
    ImGui::PushStyleColor(ImGuiCol_Text, m.is_error ? t.warning : t.text);
    ImGui::TextUnformatted(m.sentence.c_str());
    ImGui::PopStyleColor();
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", m.sentence.c_str());
  } else if (const Document* d = desk.document()) {
    ImGui::TextUnformatted(fmt::format("{}   saved", d->photo_name).c_str());
  }
  if (state.cursor_px && desk.derived().photo && !compared_now(desk, state)) {
    const std::string text = cursor_text(desk, *state.cursor_px);
    ImGui::SameLine(std::max(size.x - ImGui::CalcTextSize(text.c_str()).x - t.px(16), t.px(300)));
    ImGui::TextUnformatted(text.c_str());
  }
  ImGui::PopFont();
  ImGui::End();
  ImGui::PopStyleVar(2);
  ImGui::PopStyleColor();
}

}  // namespace verdigrid
