#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>

#include "compare/comparison.h"
#include "report/change_signs.h"
#include "report/figures.h"
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

// The figure before the slider: the grip would stand on it.
void slider_beside(const Theme& t, const std::string& figure, const char* widest, float& value,
                   float low, float high) {
  ImGui::AlignTextToFramePadding();
  const float from = ImGui::GetCursorPosX();
  muted_text(t, figure);
  ImGui::SameLine(from + ImGui::CalcTextSize(widest).x + t.px(10));
  ImGui::SetNextItemWidth(-1);
  ImGui::SliderFloat("##slider", &value, low, high, "");
}

void draw_modes(ViewerState& state) {
  const Theme& t = state.theme;
  CompareView& c = state.compare;
  for (const CompareMode mode : k_compare_modes) {
    if (mode != k_compare_modes.front()) same_line_if_room(name(mode));
    if (choice(t, name(mode), c.mode == mode)) c.mode = mode;
  }
  if (c.mode == CompareMode::swipe)
    slider_beside(t, fmt::format("Before up to {:.0f} %", 100 * c.swipe_at), "Before up to 100 %",
                  c.swipe_at, 0, 1);
  if (c.mode == CompareMode::difference) {
    slider_beside(t, fmt::format("Difference x {:.1f}", c.gain), "Difference x 10.0", c.gain, 1,
                  10);
    muted_text(t, "Yellow: lighter. Blue: darker. Rose: another colour.");
    if (ImGui::IsItemHovered())
      wrapped_tooltip(t, "Grey: alike. Parts stand above the board and may seem to have moved.");
  }
}

// One row for two ticks: on a small window the list of changes is worth more than the words.
void draw_ticks(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  bool is_dry = desk.document()->is_dry;
  if (tick_box("The board is dry", &is_dry)) actions.push_back(SetDry{is_dry});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(
        t,
        "White salts fade while wet and come back as they dry: without this there is no "
        "verdict.");
  if (!desk.derived().compared) return;
  same_line_if_room("Show changes  (H)    ");
  tick_box("Show changes  (H)", &state.layers.residue);
  if (ImGui::IsItemHovered()) wrapped_tooltip(t, "What became of the residue, on the photos.");
}

void draw_photos(const Desk& desk, const Theme& t, Actions& actions) {
  heading(t, "Photo before  (C)");
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

// The way out when the photos are not aligned by themselves.
void draw_pairs(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  PairingView& pairing = state.pairing;
  const auto& pairs = desk.document()->compare_pairs;
  if (!pairing.is_on) {
    const std::string why_not = desk.derived().earlier ? "" : "The photo before is being read.";
    if (button("Point pairs by hand  (E)", why_not)) pairing = {}, pairing.is_on = true;
    if (why_not.empty() && ImGui::IsItemHovered())
      wrapped_tooltip(t,
                      "When the two are aligned wrongly or not at all: show the same places in "
                      "both photos.");
    if (!pairs.empty()) {
      ImGui::SameLine();
      ImGui::AlignTextToFramePadding();
      muted_text(t, counted(pairs.size(), "pair", "pairs"));
    }
    return;
  }
  constexpr size_t k_least = 3, k_good = 4;
  wrapped(pairing.first_px ? "Now click the same place in the photo after."
                           : "Click a hole, corner or joint in the photo before.");
  muted_text(t,
             fmt::format("{} set; {}", counted(pairs.size(), "pair is", "pairs are"),
                         pairs.size() < k_least  ? "three are needed, four are better."
                         : pairs.size() < k_good ? "a fourth, far from the others, makes it better."
                                                 : "used for the alignment."));
  muted_text(t, "Keys: X the other half, arrows, Space places, Backspace takes back.");
  if (main_button(t, "Done  (E)")) pairing.is_on = false;
  same_line_if_room("Remove all");
  if (button("Remove all", pairs.empty() ? "No pair is set." : ""))
    actions.push_back(SetPairs{{}, "Remove all point pairs"});
}

// How a change is told apart: as on the photo, with the sign of the pictures that are saved.
void change_chip(const Theme& t, ChangeClass c) {
  const float side = ImGui::GetTextLineHeight();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + side, at.y + side}, colour_u32(change_colour(c)), t.px(3));
  const std::string sign = sign_of(c);
  const ImVec2 size = ImGui::CalcTextSize(sign.c_str());
  const ImVec4 ink{0.06f, 0.07f, 0.08f, 1}, paper{1, 1, 1, 1};
  const bool is_light = contrast(change_colour(c), ink) >= contrast(change_colour(c), paper);
  list.AddText({at.x + (side - size.x) / 2, at.y + (side - size.y) / 2},
               colour_u32(is_light ? ink : paper), sign.c_str());
  ImGui::Dummy({side, side});
  ImGui::SameLine();
}

const char* change_words(ChangeClass c) {
  switch (c) {
    case ChangeClass::removed:
      return "gone";
    case ChangeClass::remaining:
      return "still there";
    case ChangeClass::fresh:
      return "new";
    case ChangeClass::uncertain_gone:
      return "may be gone";
    case ChangeClass::uncertain_new:
      return "may be new";
    default:
      return name(c);
  }
}

void cell(const std::string& text) {
  ImGui::TableNextColumn();
  ImGui::TextUnformatted(text.c_str());
}

void draw_row_details(const Theme& t, const ChangeRow& r, const char* unit) {
  const auto with_interval = [&](const Interval& i) {
    return fmt::format("{} {} ({} to {})", figure(i.value), unit, figure(i.low), figure(i.high));
  };
  wrapped_tooltip(
      t,
      fmt::format("{}: before {}, after {}, removed {}, new {}. {:.0f} % of it is shown by both. "
                  "{}",
                  r.name, with_interval(r.before), with_interval(r.after), with_interval(r.removed),
                  with_interval(r.fresh), r.compared_percent, words(r.verdict)));
}

void draw_table(const Comparison& c, const Theme& t) {
  const ChangeTable& table = c.table;
  const char* unit = table.has_mm ? "mm\u00b2" : "px\u00b2";
  const float height = std::max(t.px(180), ImGui::GetContentRegionAvail().y - t.px(40));
  if (!ImGui::BeginTable(
          "changes", 5,
          ImGuiTableFlags_RowBg | ImGuiTableFlags_SizingStretchProp | ImGuiTableFlags_ScrollY,
          {0, height}))
    return;
  ImGui::TableSetupScrollFreeze(0, 1);
  ImGui::TableSetupColumn("Place");
  ImGui::TableSetupColumn(fmt::format("Before {}", unit).c_str());
  ImGui::TableSetupColumn("After");
  ImGui::TableSetupColumn("Gone");
  ImGui::TableSetupColumn("New");
  ImGui::TableHeadersRow();
  std::vector<const ChangeRow*> rows{&table.total};
  for (const ChangeRow& r : table.zones) rows.push_back(&r);
  for (const ChangeRow& r : table.squares)
    if (r.before.value > 0 || r.after.value > 0) rows.push_back(&r);
  for (const ChangeRow* r : rows) {
    ImGui::PushID(r);
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    ImGui::Selectable(r->name.c_str(), false, ImGuiSelectableFlags_SpanAllColumns);
    if (ImGui::IsItemHovered()) draw_row_details(t, *r, unit);
    cell(short_figure(r->before.value));
    cell(short_figure(r->after.value));
    cell(r->removed_percent ? fmt::format("{:.0f} %", r->removed_percent->value) : "-");
    cell(short_figure(r->fresh.value));
    ImGui::PopID();
  }
  ImGui::EndTable();
}

void draw_changes(const Desk& desk, const Comparison& c, ViewerState& state) {
  const Theme& t = state.theme;
  if (c.changes.empty()) return muted_text(t, "Nothing changed that these photos show.");
  ImGui::BeginChild("list", {0, std::max(t.px(180), ImGui::GetContentRegionAvail().y - t.px(8))});
  for (const ChangeItem& item : c.changes) {
    ImGui::PushID(item.id);
    const std::string what =
        !item.part.empty() ? "part " + item.part
                           : fmt::format("{}: {}", name(item.residue), change_words(item.what));
    change_chip(t, item.what);
    if (ImGui::Selectable(
            fmt::format("{}  {}", item.square.empty() ? "-" : item.square, what).c_str(),
            state.compare.selected == item.id)) {
      state.compare.selected = item.id;
      go_to_region(desk, state, cv::Rect2d(item.box_px));
    }
    const std::string area = figure(item.area) + (c.table.has_mm ? " mm\u00b2" : " px\u00b2");
    ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(area.c_str()).x);
    ImGui::PushStyleColor(ImGuiCol_Text, t.muted);
    ImGui::TextUnformatted(area.c_str());
    ImGui::PopStyleColor();
    ImGui::PopID();
  }
  ImGui::EndChild();
}

}  // namespace

ImVec4 change_colour(ChangeClass c) {
  const auto rgb = [](int r, int g, int b) {
    return ImVec4(static_cast<float>(r) / 255, static_cast<float>(g) / 255,
                  static_cast<float>(b) / 255, 1);
  };
  // Told apart by colour-blind people too: Okabe, Ito, "Color Universal Design", 2008.
  switch (c) {
    case ChangeClass::none:
      return rgb(0, 0, 0);
    case ChangeClass::removed:
      return rgb(0, 158, 115);
    case ChangeClass::remaining:
      return rgb(230, 159, 0);
    case ChangeClass::fresh:
      return rgb(213, 94, 0);
    case ChangeClass::uncertain_gone:
      return rgb(86, 180, 233);
    case ChangeClass::uncertain_new:
      return rgb(240, 228, 66);
    case ChangeClass::part_changed:
      return rgb(204, 121, 167);
    case ChangeClass::not_compared:
      return rgb(150, 150, 150);
  }
  return rgb(0, 0, 0);
}

const ComparedPictures* compared_now(const Desk& desk, const ViewerState& state) {
  if (state.step != Step::recheck || !desk.derived().compared || is_pairing(desk, state))
    return nullptr;
  return &*desk.derived().compared;
}

void draw_recheck_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Recheck");
  const bool has_before = !desk.document()->compared_with_sha256.empty();
  if (!has_before)
    muted_text(t, "The photo after the wash or the rework against the one before it.");
  draw_photos(desk, t, actions);
  if (!has_before) return;
  draw_ticks(desk, state, actions);
  draw_pairs(desk, state, actions);
  if (state.pairing.is_on) return;
  if (!desk.derived().compared)
    return muted_text(t,
                      "The two photos are being compared, or could not be: then a line at the "
                      "bottom says why, and pairs of points help.");
  const Comparison& c = *desk.derived().compared->comparison;
  same_line_if_room("Save comparison");
  if (button("Save comparison")) actions.push_back(SaveComparison{});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t,
                    "Figures, table and pictures as a folder beside the job book (Ctrl+S here).");
  ImGui::Separator();
  draw_modes(state);
  PanelTabs tabs(state, "recheck");
  tabs.item(fmt::format("Changes ({})###changes", c.changes.size()),
            [&] { draw_changes(desk, c, state); });
  tabs.item("Areas", [&] { draw_table(c, t); });
  tabs.item("In words", [&] {
    for (const std::string& line : summary_lines(c)) wrapped(line);
  });
}

void take_recheck_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (was_pressed(state, GLFW_KEY_E) && desk.derived().earlier) {
    const bool was_on = state.pairing.is_on;
    state.pairing = {};
    state.pairing.is_on = !was_on;
  }
  if (is_pairing(desk, state)) return take_pairing_keys(desk, state, actions);
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
  if (was_pressed(state, GLFW_KEY_W)) actions.push_back(SetDry{!desk.document()->is_dry});
  const int step =
      was_pressed(state, GLFW_KEY_J, Held::repeats) - was_pressed(state, GLFW_KEY_K, Held::repeats);
  if (step != 0 && desk.derived().compared) {
    const auto& list = desk.derived().compared->comparison->changes;
    const int count = static_cast<int>(list.size());
    int at = step > 0 ? -1 : 0;
    for (int i = 0; i < count; ++i)
      if (list[static_cast<size_t>(i)].id == c.selected) at = i;
    if (count > 0) {
      const ChangeItem& next = list[static_cast<size_t>((at + step + count) % count)];
      c.selected = next.id;
      go_to_region(desk, state, cv::Rect2d(next.box_px));
    }
  }
  // C goes through the photos that may be the one before.
  if (!was_pressed(state, GLFW_KEY_C)) return;
  const auto rows = candidates(desk);
  size_t next = 0;
  for (size_t i = 0; i < rows.size(); ++i)
    if (rows[i]->photo.sha256 == desk.document()->compared_with_sha256) next = i + 1;
  actions.push_back(CompareWith{next < rows.size() ? rows[next]->photo.sha256 : ""});
}

}  // namespace verdigrid
