#include <fmt/format.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

const LookPlace* current_place(const Desk& desk) {
  const Look* look = desk.derived().look.get();
  if (!look || look->is_finished) return nullptr;
  // Answers that are still being taken in have used up the first places of the list.
  const size_t ahead = desk.document()->answers.size() -
                       std::min(desk.document()->answers.size(), desk.derived().answers_taken);
  return ahead < look->places.size() ? &look->places[ahead] : nullptr;
}

namespace {

std::string square_of(const Survey& s, cv::Rect crop) {
  const cv::Point2d middle(crop.x + 0.5 * (crop.width - 1), crop.y + 0.5 * (crop.height - 1));
  return square_at(s.zones.grid, board_point(s.rectification, middle)).value_or("off the grid");
}

void answer(const LookPlace& place, AnswerKind kind, std::optional<Residue> residue,
            Actions& actions) {
  actions.push_back(GiveAnswer{{place.region_px, kind, Asked::shown, residue}});
}

void draw_question(const Desk& desk, ViewerState& state, const LookPlace& place, Actions& actions) {
  const Theme& t = state.theme;
  const Survey& s = *desk.derived().survey;
  ImGui::PushFont(t.title);
  ImGui::TextUnformatted(fmt::format("{}: is this residue?", square_of(s, place.crop_px)).c_str());
  ImGui::PopFont();
  muted_text(t, fmt::format("{}, {:.0f} % suspicion. The place is outlined on the photo.",
                            place.residue == Residue::unsure
                                ? std::string("Class not decided")
                                : fmt::format("Most likely {}", name(place.residue)),
                            100 * place.confidence));
  ImGui::Spacing();
  const float gap = ImGui::GetStyle().ItemSpacing.x,
              width = (ImGui::GetContentRegionAvail().x - 2 * gap) / 3;
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {t.px(10), t.px(14)});
  if (main_button(t, "Yes  (Y)", width)) answer(place, AnswerKind::yes, std::nullopt, actions);
  ImGui::SameLine();
  if (button("No  (N)", {}, width)) answer(place, AnswerKind::no, std::nullopt, actions);
  ImGui::SameLine();
  if (button("Not sure  (U)", {}, width))
    answer(place, AnswerKind::not_sure, std::nullopt, actions);
  ImGui::PopStyleVar();
  muted_text(t, "Yes, and it is:");
  int in_row = 0;
  for (const Residue r : k_residues) {
    if (r == Residue::unsure) continue;
    if (in_row++ % 2 != 0) ImGui::SameLine(ImGui::GetContentRegionMax().x / 2);
    residue_sign(t, r);
    if (ImGui::Button(std::string(name(r)).c_str())) answer(place, AnswerKind::yes, r, actions);
  }
}

void draw_progress(const Desk& desk, const Theme& t) {
  const Look& look = *desk.derived().look;
  const auto& answers = desk.document()->answers;
  size_t yes = 0, no = 0;
  for (const Answer& a : answers) yes += a.kind == AnswerKind::yes, no += a.kind == AnswerKind::no;
  if (!answers.empty())
    muted_text(t, fmt::format("Answered: {} yes, {} no, {} not sure. Every answer teaches the "
                              "survey of this board at once; Ctrl+Z takes it back.",
                              yes, no, answers.size() - yes - no));
  if (look.is_finished || look.places.empty())
    wrapped(
        fmt::format("Nothing is left above {:.0f} % suspicion in what this photo shows. That is "
                    "not a clearance.",
                    100 * std::max(look.nothing_left_above, 0.01)));
  else
    muted_text(t, fmt::format("{} place{} in this round, worst first.", look.places.size(),
                              look.places.size() == 1 ? "" : "s"));
}

void draw_missed(ViewerState& state) {
  heading(state.theme, "Something missed?");
  if (state.tool == Tool::point) {
    muted_text(state.theme, "Click it on the photo, or draw over it. Esc puts the pointer down.");
    return;
  }
  if (button("Point at it  (X)")) state.tool = Tool::point, state.drafts.tool_px.clear();
}

// "14 chips and other parts": counted where they can be told apart.
std::string hiding_parts(const Survey& s) {
  const auto n = s.layout ? std::count_if(s.zones.parts.begin(), s.zones.parts.end(),
                                          [](const PartRow& p) { return p.hides; })
                          : static_cast<std::ptrdiff_t>(s.part_looks.bodies_px.size());
  return n == 0   ? "chips and sockets"
         : n == 1 ? "one chip or other dark part, sockets and cans"
                  : fmt::format("{} chips and other dark parts, sockets and cans", n);
}

void draw_not_seen(const Desk& desk, const Theme& t, Actions& actions) {
  const Document& d = *desk.document();
  const Survey& s = *desk.derived().survey;
  heading(t, "Battery still in?");
  for (const Answer3 a : {Answer3::yes, Answer3::no, Answer3::unknown}) {
    if (a != Answer3::yes) ImGui::SameLine();
    if (radio(name(a), d.battery_in == a)) actions.push_back(SetBattery{a});
  }
  heading(t, "Not seen");
  const char* other = d.scale.side == Side::front ? "back" : "front";
  muted_text(t, fmt::format("The {}, what lies under {}, and {:.0f} % of this photo (glare, blur, "
                            "parts, outside the frame). Tick off what you have looked at:",
                            other, hiding_parts(s), s.zones.total.unseen.total_percent));
  for (const char* what : {other, "under chips and sockets"}) {
    bool is_seen = std::find(d.peeks.begin(), d.peeks.end(), what) != d.peeks.end();
    if (tick_box(fmt::format("{} looked at", what).c_str(), &is_seen))
      actions.push_back(SetPeek{what, is_seen ? Answer3::yes : Answer3::no});
  }
}

}  // namespace

void draw_look_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  if (!desk.derived().look || !desk.derived().survey) {
    title(t, "Look");
    return muted_text(t, "The most suspect places are being looked for.");
  }
  if (const LookPlace* place = current_place(desk))
    draw_question(desk, state, *place, actions);
  else
    title(t, "Look");
  draw_progress(desk, t);
  draw_missed(state);
  ImGui::Separator();
  draw_not_seen(desk, t, actions);
  ImGui::Separator();
  if (button("Save a bench sheet (PDF)")) actions.push_back(SaveBenchSheet{});
  muted_text(t, "One A4 page with crops, square names and tick boxes, kept beside the job book.");
}

void take_look_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (was_pressed(state, 'X')) state.tool = Tool::point, state.drafts.tool_px.clear();
  const LookPlace* place = current_place(desk);
  if (!place) return;
  const std::pair<int, AnswerKind> keys[] = {
      {'Y', AnswerKind::yes}, {'N', AnswerKind::no}, {'U', AnswerKind::not_sure}};
  for (const auto& [key, kind] : keys)
    if (was_pressed(state, key)) answer(*place, kind, std::nullopt, actions);
}

}  // namespace verdigrid
