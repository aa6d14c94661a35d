#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr const char* k_rails_word = "rail";

void draw_headline(const LockView& v, const Theme& t) {
  ImGui::PushFont(t.title);
  ImGui::PushStyleColor(ImGuiCol_Text, v.state.is_cleared ? t.accent : t.warning);
  ImGui::TextUnformatted(v.state.is_cleared ? "CLEARED FOR TEST" : "LOCKED");
  ImGui::PopStyleColor();
  ImGui::PopFont();
  // The first word stands above it already.
  const size_t colon = v.state.is_cleared ? std::string::npos : v.state.headline.find(": ");
  wrapped(sentence_case(colon == std::string::npos ? v.state.headline
                                                   : v.state.headline.substr(colon + 2)) +
          ".");
  muted_text(
      t,
      "Mains, high voltage and charged capacitors only by qualified people and by local "
      "codes. Cleared for test means with the named supply and a current limit, and no more.");
}

void draw_photo_choice(const Desk& desk, LockDrafts& d, const Theme& t) {
  std::string shown = d.photo_sha256.empty() ? "no photo" : d.photo;
  field_label(t, "photo");
  if (!ImGui::BeginCombo("##photo", shown.c_str())) return;
  if (ImGui::Selectable("no photo")) d.photo.clear(), d.photo_sha256.clear();
  for (const Intake::BoardRow& board : desk.intake().boards)
    for (const Intake::PhotoRow& row : board.photos)
      if (ImGui::Selectable(
              fmt::format("{}: {}##{}", row.photo.role, row.photo.name, row.id).c_str()))
        d.photo = row.photo.name, d.photo_sha256 = row.photo.sha256;
  ImGui::EndCombo();
}

// A form for the condition that is chosen: only what it takes is asked.
void draw_evidence(const Desk& desk, const ConditionView& c, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  LockDrafts& d = state.lock;
  const LockConditionFacts& f = facts(c.condition);
  muted_text(t, "Takes " + evidence_words(c.condition) + ".");
  if (f.takes_photo) draw_photo_choice(desk, d, t);
  const ComparedPictures* pair = desk.derived().compared ? &*desk.derived().compared : nullptr;
  if (f.takes_comparison)
    muted_text(t, pair ? fmt::format("Comparison with {}: {}", pair->before_name,
                                     words(pair->comparison->table.total.verdict))
                       : "A comparison is made under Recheck.");
  if (f.unit && *f.unit) {
    ImGui::SetNextItemWidth(t.px(90));
    ImGui::InputText("##value", &d.value, ImGuiInputTextFlags_CharsDecimal);
    ImGui::SameLine();
    ImGui::AlignTextToFramePadding();
    ImGui::TextUnformatted(f.unit);
    if (c.condition == LockCondition::rail_ohms) {
      ImGui::SameLine();
      ImGui::SetNextItemWidth(t.px(90));
      ImGui::InputTextWithHint(k_rails_word, "+5 V", &d.rail);
    }
  }
  field_label(t, "note");
  ImGui::InputTextWithHint("##note", "what was seen; for an override: why", &d.note);
  LockEntry e;
  e.condition = c.condition;
  e.note = d.note;
  e.photo = d.photo;
  e.photo_sha256 = d.photo_sha256;
  e.rail = d.rail;
  if (f.unit && *f.unit && !d.value.empty()) {
    e.value = std::strtod(d.value.c_str(), nullptr);
    e.unit = f.unit;
  }
  if (f.takes_comparison && pair) e.comparison = name(pair->comparison->table.total.verdict);
  const bool has_any = e.value || !e.photo_sha256.empty() || !e.comparison.empty();
  if (button("Put this in as evidence",
             has_any ? "" : "Give a photo, reading or comparison first.")) {
    actions.push_back(AddLockEntry{e, fmt::format("Evidence: {}", f.name)});
    d = {};
    d.selected = c.condition;
  }
  same_line_if_room("Override by name");
  const std::string why_not = !c.may_override  ? "This one cannot be overridden."
                              : d.note.empty() ? "An override needs a reason: write it in the note."
                                               : "";
  if (button("Override by name", why_not)) {
    e.kind = LockEntryKind::override_;
    actions.push_back(AddLockEntry{e, fmt::format("Override: {}", f.name)});
    d = {};
  }
}

void draw_condition(const Desk& desk, const ConditionView& c, ViewerState& state,
                    Actions& actions) {
  const Theme& t = state.theme;
  ImGui::PushID(static_cast<int>(c.condition));
  const bool is_selected = state.lock.selected == c.condition;
  const char* sign = c.state == ConditionState::met          ? "\u2713"
                     : c.state == ConditionState::overridden ? "~"
                                                             : "\u25cb";
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float wrap = ImGui::GetContentRegionAvail().x - t.px(28);
  const ImVec2 size = ImGui::CalcTextSize(c.sentence.c_str(), nullptr, false, wrap);
  if (ImGui::Selectable("##condition", is_selected, 0, {0, size.y + t.px(6)})) {
    if (is_selected)
      state.lock.selected.reset();
    else
      state.lock = {}, state.lock.selected = c.condition;
  }
  if (ImGui::IsItemHovered() && !c.by.empty()) wrapped_tooltip(t, c.by);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec4& colour = c.state == ConditionState::open ? t.warning : t.accent;
  list.AddText(t.strong, t.strong->FontSize, {at.x + t.px(6), at.y + t.px(3)}, colour_u32(colour),
               sign);
  list.AddText(t.body, t.body->FontSize, {at.x + t.px(26), at.y + t.px(3)}, colour_u32(t.text),
               c.sentence.c_str(), nullptr, wrap);
  if (is_selected) {
    if (!c.by.empty()) muted_text(t, c.by);
    draw_evidence(desk, c, state, actions);
  }
  ImGui::PopID();
}

void draw_supply(ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  LockDrafts& d = state.lock;
  muted_text(t, "Supply alone, under a dummy load, each rail measured:");
  field_label(t, "supply");
  ImGui::InputTextWithHint("##supply", "its name", &d.supply);
  field_label(t, "rail");
  ImGui::SetNextItemWidth(t.px(70));
  ImGui::InputTextWithHint("##rail", "+5 V", &d.rail_name);
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(60));
  ImGui::InputFloat("V", &d.nominal_v, 0, 0, "%.2f");
  field_label(t, "seen");
  ImGui::SetNextItemWidth(t.px(60));
  ImGui::InputFloat("V at", &d.measured_v, 0, 0, "%.2f");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(60));
  ImGui::InputFloat("A load", &d.load_a, 0, 0, "%.2f");
  field_label(t, "");
  if (button("Add rail",
             d.rail_name.empty() || d.load_a <= 0 ? "Name the rail and its load." : "")) {
    d.rails.push_back({d.rail_name, d.nominal_v, d.measured_v, d.load_a});
    d.rail_name.clear();
  }
  for (const SupplyRail& r : d.rails)
    muted_text(t, fmt::format("{}: {:.2f} V, seen {:.2f} V at {:.2f} A", r.name, r.nominal_v,
                              r.measured_v, r.load_a));
  const std::string why_not = d.supply.empty()  ? "Name the supply."
                              : d.rails.empty() ? "Measure at least one rail."
                                                : "";
  if (button("Put the supply's check in", why_not)) {
    LockEntry e;
    e.condition = LockCondition::supply;
    e.supply = SupplyCheck{d.supply, d.rails};
    actions.push_back(AddLockEntry{e, "Supply: " + d.supply});
    d = {};
  }
}

void draw_first_power(const LockView& v, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  LockDrafts& d = state.lock;
  heading(t, "First power");
  const std::string locked = v.state.is_cleared ? "" : "The board is LOCKED.";
  if (!locked.empty()) return muted_text(t, "It can be logged once every condition is met.");
  ImGui::SetNextItemWidth(t.px(90));
  ImGui::InputFloat("A current limit", &d.limit_a, 0, 0, "%.2f");
  for (size_t i = 0; i < std::size(k_power_points_s); ++i) {
    ImGui::PushID(static_cast<int>(i));
    ImGui::SetNextItemWidth(t.px(130));
    ImGui::InputFloat2(fmt::format("V, A after {:g} s", k_power_points_s[i]).c_str(), d.points[i],
                       "%.2f");
    ImGui::PopID();
  }
  align_to_small_frame();
  ImGui::TextUnformatted("Smell or heat?");
  for (const Told told : {Told::yes, Told::no}) {
    ImGui::SameLine();
    if (radio(name(told), d.smell_or_heat == told)) d.smell_or_heat = told;
  }
  const std::string why_not = d.limit_a <= 0                       ? "Give the current limit."
                              : d.smell_or_heat == Told::not_known ? "Answer: smell or heat?"
                                                                   : "";
  if (button("Log first power", why_not)) {
    LockEntry e;
    e.kind = LockEntryKind::power;
    FirstPower power;
    power.supply = v.state.supply;
    power.limit_a = d.limit_a;
    for (size_t i = 0; i < std::size(k_power_points_s); ++i)
      power.points.push_back({k_power_points_s[i], d.points[i][0], d.points[i][1]});
    power.smell_or_heat = d.smell_or_heat;
    e.power = power;
    actions.push_back(AddLockEntry{e, "First power"});
    d = {};
  }
  if (v.tests.empty()) return;
  heading(t, "Tests");
  d.verdicts.resize(v.tests.size(), TestVerdict::not_tested);
  for (size_t i = 0; i < v.tests.size(); ++i) {
    ImGui::PushID(static_cast<int>(100 + i));
    align_to_small_frame();
    ImGui::TextUnformatted(v.tests[i].c_str());
    for (const TestVerdict verdict : {TestVerdict::pass, TestVerdict::fail}) {
      ImGui::SameLine();
      if (radio(name(verdict), d.verdicts[i] == verdict)) d.verdicts[i] = verdict;
    }
    ImGui::PopID();
  }
  if (button("Log the tests")) {
    LockEntry e;
    e.kind = LockEntryKind::test;
    for (size_t i = 0; i < v.tests.size(); ++i) e.tests.push_back({v.tests[i], d.verdicts[i]});
    actions.push_back(AddLockEntry{e, "Tests"});
    d = {};
  }
}

void draw_log(const PowerLock& lock, const Theme& t) {
  if (lock.log.empty()) return muted_text(t, "Nothing was put in yet.");
  for (auto e = lock.log.rbegin(); e != lock.log.rend(); ++e) {
    const std::string what =
        e->kind == LockEntryKind::evidence || e->kind == LockEntryKind::override_
            ? fmt::format("{}: {}", name(e->kind), facts(e->condition).name)
            : name(e->kind);
    row(t, what.c_str(), e->on + ", " + e->who);
    if (!e->note.empty()) muted_text(t, e->note);
  }
}

}  // namespace

void draw_lock_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Power lock");
  const LockView& v = desk.lock();
  if (!v.lock) return muted_text(t, "The lock belongs to a board: open a photo of one.");
  draw_headline(v, t);
  PanelTabs tabs(state, "lock");
  const auto open =
      std::count_if(v.state.conditions.begin(), v.state.conditions.end(),
                    [](const ConditionView& c) { return c.state == ConditionState::open; });
  tabs.item(fmt::format("Conditions ({} open)###conditions", open), [&] {
    for (const ConditionView& c : v.state.conditions) draw_condition(desk, c, state, actions);
  });
  tabs.item("Supply and power", [&] {
    draw_supply(state, actions);
    draw_first_power(v, state, actions);
  });
  tabs.item("Log", [&] { draw_log(*v.lock, t); });
}

void take_lock_keys(const Desk& desk, ViewerState& state, Actions&) {
  const auto& list = desk.lock().state.conditions;
  const int by =
      was_pressed(state, GLFW_KEY_J, Held::repeats) - was_pressed(state, GLFW_KEY_K, Held::repeats);
  if (by == 0 || list.empty()) return;
  const int n = static_cast<int>(list.size());
  int at = by > 0 ? -1 : 0;
  for (int i = 0; i < n; ++i)
    if (state.lock.selected == list[static_cast<size_t>(i)].condition) at = i;
  const LockCondition next = list[static_cast<size_t>((at + by + n) % n)].condition;
  state.lock = {};
  state.lock.selected = next;
}

}  // namespace verdigrid
