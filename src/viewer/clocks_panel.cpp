#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "plan/wash_log.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

struct ClockKind {
  const char* what;
  float minutes;
  const char* then;
};
// Common practice, no source: acid on leaded joints for minutes, never hours.
constexpr ClockKind k_kinds[] = {{"weak acid", 3, "rinse"},
                                 {"bicarbonate", 5, "rinse"},
                                 {"rinse", 10, "change the water"},
                                 {"oven", 120, "take it out and weigh it"}};

constexpr BathKind k_baths[] = {BathKind::neutralise, BathKind::wash, BathKind::rinse,
                                BathKind::alcohol};
constexpr DryingWay k_ways[] = {DryingWay::open_air, DryingWay::blow_off,
                                DryingWay::circulating_oven, DryingWay::vacuum_oven,
                                DryingWay::hot_air};

void draw_clock(const Desk& desk, const BoardClock& c, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const std::int64_t now_s = desk.now_s();
  ImGui::PushID((c.board + c.clock.clock.id).c_str());
  ImGui::PushFont(t.title);
  ImGui::PushStyleColor(ImGuiCol_Text, is_due(c.clock, now_s) ? t.warning : t.text);
  wrapped(words(c.clock, now_s, state.utc_offset_min));
  ImGui::PopStyleColor();
  ImGui::PopFont();
  muted_text(t, fmt::format("{}, {}", c.unit_name, c.board_name));
  if (button("Stop")) actions.push_back(StopClock{c.board, c.clock.clock.id});
  ImGui::PopID();
}

void draw_new_clock(ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  ClockDrafts& d = state.clock;
  heading(t, "New clock");
  for (const ClockKind& kind : k_kinds) {
    if (&kind != k_kinds) same_line_if_room(kind.what);
    if (button(kind.what)) d.what = kind.what, d.minutes = kind.minutes, d.then = kind.then;
  }
  ImGui::SetNextItemWidth(t.px(170));
  ImGui::InputTextWithHint("##what", "weak acid", &d.what);
  ImGui::SameLine();
  ImGui::SetNextItemWidth(-t.px(60));
  ImGui::InputTextWithHint("place", "B3", &d.place);
  ImGui::SetNextItemWidth(t.px(90));
  ImGui::InputFloat("min, then", &d.minutes, 0, 0, "%.0f");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##then", "rinse", &d.then);
  const std::string why_not = d.what.empty()   ? "Say what runs."
                              : d.minutes <= 0 ? "Say after how many minutes it is due."
                                               : "";
  if (button("Start the clock", why_not)) {
    actions.push_back(LogBench{ClockStart{"", d.what, d.place, d.then, d.minutes}});
    d.what.clear(), d.place.clear(), d.then.clear();
  }
}

void draw_bath(ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  WashDrafts& d = state.wash;
  heading(t, "Bath");
  for (const BathKind kind : k_baths) {
    if (kind != k_baths[0]) same_line_if_room(name(kind));
    if (choice(t, name(kind), d.kind == kind)) d.kind = kind;
  }
  ImGui::SetNextItemWidth(-t.px(80));
  ImGui::InputTextWithHint("bath", "distilled water, 2 l", &d.bath);
  ImGui::SetNextItemWidth(-t.px(80));
  ImGui::InputTextWithHint("detergent", "none", &d.detergent);
  ImGui::SetNextItemWidth(-t.px(80));
  ImGui::InputTextWithHint("off first", "BT1, label", &d.removed);
  if (d.kind == BathKind::neutralise)
    for (const Neutraliser n : {Neutraliser::weak_acid, Neutraliser::bicarbonate}) {
      if (n != Neutraliser::weak_acid) ImGui::SameLine();
      if (choice(t, name(n), d.neutraliser == n)) d.neutraliser = n;
    }
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("min", &d.minutes, 0, 0, "%.0f");
  ImGui::SameLine();
  tick_box("ultrasonic", &d.is_ultrasonic);
  const std::string why_not = d.bath.empty()   ? "Say what the bath is."
                              : d.minutes <= 0 ? "Say how many minutes."
                                               : "";
  if (!button("Log the bath", why_not)) return;
  Bath b;
  b.kind = d.kind;
  b.bath = d.bath;
  b.detergent = d.detergent;
  b.minutes = d.minutes;
  b.is_ultrasonic = d.is_ultrasonic;
  if (!d.removed.empty()) b.removed_first = {d.removed};
  if (d.kind == BathKind::neutralise) b.neutraliser = d.neutraliser;
  actions.push_back(LogBench{b});
}

void draw_drying(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  WashDrafts& d = state.wash;
  heading(t, "Drying");
  for (const DryingWay way : k_ways) {
    if (way != k_ways[0]) same_line_if_room(name(way));
    if (choice(t, name(way), d.way == way)) d.way = way;
  }
  const Known known = desk.plan().plan ? desk.plan().plan->known : Known{};
  const std::string refused = refusal_of(Drying{d.way, d.celsius, 1}, known, desk.bench().log);
  if (!refused.empty()) {
    ImGui::PushStyleColor(ImGuiCol_Text, t.warning);
    wrapped(refused);
    ImGui::PopStyleColor();
  } else {
    muted_text(t, drying_advice(d.way, known).sentence);
  }
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("h at", &d.hours, 0, 0, "%.1f");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("\u00b0C", &d.celsius, 0, 0, "%.0f");
  if (button("Log the drying", d.hours > 0 ? "" : "Say how many hours.")) {
    const bool has_heat = d.way != DryingWay::open_air && d.way != DryingWay::blow_off;
    actions.push_back(LogBench{
        Drying{d.way, has_heat ? std::optional<double>(d.celsius) : std::nullopt, d.hours}});
  }
}

void draw_weights(ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  WashDrafts& d = state.wash;
  heading(t, "Weight");
  ImGui::SetNextItemWidth(t.px(90));
  ImGui::InputFloat("g, limit", &d.grams, 0, 0, "%.2f");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("g", &d.limit_g, 0, 0, "%.2f");
  const std::string why_not = d.grams > 0 ? "" : "Weigh the board.";
  if (button("Before the wash", why_not))
    actions.push_back(LogBench{Weighing{true, d.grams, std::optional<double>(d.limit_g)}});
  ImGui::SameLine();
  if (button("After drying", why_not)) actions.push_back(LogBench{Weighing{false, d.grams, {}}});
}

}  // namespace

void draw_clocks_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Clocks");
  if (desk.clocks().empty())
    muted_text(t, "No clock runs. A clock goes on when this window is closed.");
  for (const BoardClock& c : desk.clocks()) draw_clock(desk, c, state, actions);
  draw_new_clock(state, actions);
  heading(t, "Wash and dry log");
  wrapped(words(wash_state(desk.bench().log)));
  muted_text(t,
             "Gloves, eye shield, ventilation. No heat with alcohol or a battery on the board, "
             "never a food oven.");
  draw_bath(state, actions);
  draw_drying(desk, state, actions);
  draw_weights(state, actions);
}

void take_clocks_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (was_pressed(state, GLFW_KEY_S) && !desk.clocks().empty())
    actions.push_back(StopClock{desk.clocks().front().board, desk.clocks().front().clock.clock.id});
}

void draw_clock_alarm(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at,
                      float width) {
  const Theme& t = state.theme;
  const std::int64_t now_s = desk.now_s();
  const auto due = [now_s](const BoardClock& c) { return is_due(c.clock, now_s); };
  if (std::none_of(desk.clocks().begin(), desk.clocks().end(), due)) return;
  ImGui::SetNextWindowPos(at);
  ImGui::SetNextWindowSize({width, 0});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.warning);
  ImGui::Begin("alarm", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoFocusOnAppearing |
                   ImGuiWindowFlags_AlwaysAutoResize | ImGuiWindowFlags_NoNav);
  for (const BoardClock& c : desk.clocks()) {
    if (!due(c)) continue;
    ImGui::PushID((c.board + c.clock.clock.id).c_str());
    ImGui::PushFont(t.title);
    ImGui::PushStyleColor(ImGuiCol_Text, t.panel);
    ImGui::AlignTextToFramePadding();
    wrapped(fmt::format("{}  ({}, {})", words(c.clock, now_s, state.utc_offset_min), c.unit_name,
                        c.board_name));
    ImGui::PopStyleColor();
    ImGui::PopFont();
    if (button("Done, stop the clock")) actions.push_back(StopClock{c.board, c.clock.clock.id});
    ImGui::PopID();
  }
  ImGui::End();
  ImGui::PopStyleColor();
}

}  // namespace verdigrid
