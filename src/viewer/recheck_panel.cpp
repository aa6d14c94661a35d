#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

const char* name(CompareMode mode) {
  switch (mode) {
    case CompareMode::before:
      return "Before";
    case CompareMode::after:
      return "After";
    case CompareMode::blink:
      return "Blink";
    case CompareMode::side_by_side:
      return "Side by side";
    case CompareMode::swipe:
      return "Swipe";
    case CompareMode::difference:
      return "Difference";
  }
  return "";
}

namespace {

// Other photos of this board and side, which may be the one before.
std::vector<const Intake::PhotoRow*> candidates(const Desk& desk) {
  std::vector<const Intake::PhotoRow*> rows;
  const Intake::PhotoRow* open = desk.intake().open_photo();
  const Intake::BoardRow* board = desk.intake().open_board();
  if (!open || !board) return rows;
  for (const Intake::PhotoRow& row : board->photos)
    if (row.id != open->id && row.photo.side == open->photo.side) rows.push_back(&row);
  return rows;
}

void draw_modes(ViewerState& state) {
  const Theme& t = state.theme;
  CompareView& c = state.compare;
  for (const CompareMode mode : k_compare_modes) {
    if (mode != k_compare_modes.front()) same_line_if_room(name(mode));
    if (choice(t, name(mode), c.mode == mode)) c.mode = mode;
  }
  if (c.mode == CompareMode::swipe) {
    ImGui::SetNextItemWidth(-1);
    float percent = 100 * c.swipe_at;
    if (ImGui::SliderFloat("##swipe", &percent, 0, 100, "before up to %.0f %%"))
      c.swipe_at = percent / 100;
  }
  if (c.mode == CompareMode::difference) {
    ImGui::SetNextItemWidth(-1);
    ImGui::SliderFloat("##gain", &c.gain, 1, 10, "difference x %.1f");
    muted_text(t,
               "Yellow: lighter than before. Blue: darker. Rose: another colour. Grey: alike. "
               "Parts stand above the board and may seem to have moved.");
  }
}

void draw_photos(const Desk& desk, const Theme& t, Actions& actions) {
  heading(t, "Photo before");
  const auto rows = candidates(desk);
  if (rows.empty())
    return muted_text(t,
                      "No other photo of this board and side is kept. Open one, and under Receive, "
                      "Photos, say that it belongs to this unit and board.");
  for (const Intake::PhotoRow* row : rows) {
    ImGui::PushID(row->id.c_str());
    const bool is_chosen = row->photo.sha256 == desk.document()->compared_with_sha256;
    if (ImGui::Selectable(fmt::format("{}: {}", row->photo.role, row->photo.name).c_str(),
                          is_chosen))
      actions.push_back(CompareWith{is_chosen ? "" : row->photo.sha256});
    ImGui::PopID();
  }
}

}  // namespace

const ComparedPictures* compared_now(const Desk& desk, const ViewerState& state) {
  if (state.step != Step::recheck || !desk.derived().compared) return nullptr;
  return &*desk.derived().compared;
}

void draw_recheck_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  heading(t, "Recheck");
  muted_text(t, "The photo after the wash or the rework over the one before it.");
  draw_photos(desk, t, actions);
  if (!desk.derived().compared_words.empty()) muted_text(t, desk.derived().compared_words);
  if (!desk.derived().compared) return;
  ImGui::Separator();
  draw_modes(state);
  muted_text(t,
             "Wet salts do not show: photograph again when the board is dry. What looks gone is "
             "not proven gone, and this is no clearance.");
}

void take_recheck_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  CompareView& c = state.compare;
  const int n = static_cast<int>(k_compare_modes.size());
  const int by = was_pressed(state, GLFW_KEY_PERIOD) - was_pressed(state, GLFW_KEY_COMMA);
  if (by != 0)
    c.mode = k_compare_modes[static_cast<size_t>((static_cast<int>(c.mode) + by + n) % n)];
  constexpr float k_swipe_step = 0.05f, k_gain_step = 1.25f;
  const bool less = was_pressed(state, GLFW_KEY_LEFT_BRACKET, Held::repeats),
             more = was_pressed(state, GLFW_KEY_RIGHT_BRACKET, Held::repeats);
  if (c.mode == CompareMode::difference)
    c.gain = std::clamp(c.gain * (more ? k_gain_step : less ? 1 / k_gain_step : 1), 1.f, 10.f);
  else if (less != more)
    c.swipe_at = std::clamp(c.swipe_at + (more ? k_swipe_step : -k_swipe_step), 0.f, 1.f);
  // C goes through the photos that may be the one before.
  if (!was_pressed(state, GLFW_KEY_C)) return;
  const auto rows = candidates(desk);
  size_t next = 0;
  for (size_t i = 0; i < rows.size(); ++i)
    if (rows[i]->photo.sha256 == desk.document()->compared_with_sha256) next = i + 1;
  actions.push_back(CompareWith{next < rows.size() ? rows[next]->photo.sha256 : ""});
}

}  // namespace verdigrid
