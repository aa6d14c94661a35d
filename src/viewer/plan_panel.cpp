#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "plan/bench_work.h"
#include "plan/edit_plan.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

std::string minutes_words(double minutes) {
  const long m = std::lround(minutes);
  if (m < 60) return fmt::format("{} min", m);
  return m % 60 == 0 ? fmt::format("{} h", m / 60) : fmt::format("{} h {} min", m / 60, m % 60);
}

std::string money_words(const Plan& plan, double amount) {
  return fmt::format("{:.0f} {}", amount, plan.rates.currency);
}

const Figures* figures_of(const PlanView& v, const std::string& id) {
  if (!v.estimate) return nullptr;
  for (const NamedFigures& f : v.estimate->items)
    if (f.name == id) return &f.figures;
  return nullptr;
}

void draw_totals(const PlanView& v, const Theme& t) {
  const Plan& plan = *v.plan;
  const auto done =
      std::count_if(plan.items.begin(), plan.items.end(), [](const WorkItem& i) { return i.done; });
  row(t, "Items", fmt::format("{}, {} done", plan.items.size(), done));
  if (!v.estimate) return muted_text(t, "The work is being estimated.");
  const Figures& f = v.estimate->total;
  row(t, "Likely", minutes_words(f.likely_min));
  row(t, "Allow up to", minutes_words(f.allow_min));
  row(t, "Waiting besides", minutes_words(f.waiting_min));
  row(t, "Parts and consumables", money_words(plan, f.material));
  if (!v.worth) return;
  row(t, v.worth->is_provisional ? "Worth it, for now" : "Worth it", name(v.worth->grade));
  if (ImGui::IsItemHovered() && !v.worth->reasons.empty()) {
    std::string all;
    for (const std::string& reason : v.worth->reasons) all += (all.empty() ? "" : "\n") + reason;
    wrapped_tooltip(t, all);
  }
}

void draw_advice(const Plan& plan, const Theme& t) {
  for (const Advice& a : advice_of(plan)) {
    ImGui::PushStyleColor(ImGuiCol_Text, a.refuses ? t.warning : t.muted);
    wrapped(a.sentence);
    ImGui::PopStyleColor();
    if (ImGui::IsItemHovered()) wrapped_tooltip(t, "Source: " + a.source);
  }
}

void draw_details(const PlanView& v, const BenchLog& log, const WorkItem& item, const Theme& t) {
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(t.px(360));
  if (!item.reason.empty()) ImGui::TextUnformatted(item.reason.c_str());
  ImGui::TextUnformatted(method_words(item.operation).c_str());
  for (const NetPair& p : item.pairs) ImGui::TextUnformatted(words(p).c_str());
  if (!item.parts.empty()) {
    std::string parts;
    for (const ItemPart& p : item.parts) parts += (parts.empty() ? "Parts: " : ", ") + p.designator;
    ImGui::TextUnformatted(parts.c_str());
  }
  for (const Advice& a : advice_for(*v.plan, item)) ImGui::TextUnformatted(words(a).c_str());
  const std::string order = order_remark(*v.plan, log, item.id);
  if (!order.empty()) ImGui::TextUnformatted(order.c_str());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

void draw_editor(const PlanView& v, const WorkItem& item, ViewerState& state, Actions& actions) {
  PlanDrafts& d = state.plan;
  const Theme& t = state.theme;
  if (d.item != item.id || d.seen != item) {
    d.item = item.id, d.seen = item;
    d.what = item.what;
    d.quantity = static_cast<float>(item.quantity);
    d.actual = static_cast<float>(item.actual_min.value_or(0));
  }
  ItemEdit edit;
  field_label(t, "what");
  ImGui::InputText("##what", &d.what);
  if (ImGui::IsItemDeactivatedAfterEdit()) edit.what = d.what;
  field_label(t, "how many");
  ImGui::InputFloat("##pieces", &d.quantity, 0, 0,
                    fmt::format("%g {}", facts(item.operation).piece).c_str());
  if (ImGui::IsItemDeactivatedAfterEdit()) edit.quantity = d.quantity;
  bool damaged = item.damaged, optional = item.optional;
  if (tick_box("corroded", &damaged)) edit.damaged = damaged;
  ImGui::SameLine();
  if (tick_box("only offered", &optional)) edit.optional = optional;
  if (edit.what || edit.quantity || edit.damaged || edit.optional)
    actions.push_back(EditItem{item.id, edit});
  field_label(t, "minutes taken");
  ImGui::InputFloat("##minutes", &d.actual, 0, 0, "%.0f");
  if (ImGui::IsItemDeactivatedAfterEdit()) actions.push_back(LogMinutes{item.id, d.actual});
  for (const NetPair& p : item.pairs) muted_text(t, words(p));
  if (button("Remove")) actions.push_back(RemoveItem{item.id});
  same_line_if_room("Split in two");
  if (button("Split in two", item.quantity >= 2 ? "" : "There is only one piece of it."))
    actions.push_back(SplitItem{item.id, std::floor(item.quantity / 2)});
  std::vector<std::string> alike;
  for (const WorkItem& other : v.plan->items)
    if (other.operation == item.operation && !other.done) alike.push_back(other.id);
  same_line_if_room("Merge all of its kind");
  if (button("Merge all of its kind", alike.size() > 1 && !item.done
                                          ? ""
                                          : "There is no other open item of this operation."))
    actions.push_back(MergeItems{alike});
}

void draw_item(const Desk& desk, const WorkItem& item, ViewerState& state, Actions& actions) {
  const PlanView& v = desk.plan();
  const Theme& t = state.theme;
  ImGui::PushID(item.id.c_str());
  const std::string block = item.done ? "" : block_of(*v.plan, item);
  bool is_done = item.done;
  ImGui::BeginDisabled(!block.empty());
  if (tick_box("##done", &is_done)) actions.push_back(TickItem{item.id, is_done});
  ImGui::EndDisabled();
  if (!block.empty() && ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled))
    wrapped_tooltip(t, block);
  ImGui::SameLine();
  const Figures* figures = figures_of(v, item.id);
  const std::string time = item.done && item.actual_min ? minutes_words(*item.actual_min) + " taken"
                           : item.optional              ? "offered"
                           : figures                    ? minutes_words(figures->likely_min)
                                                        : "";
  const float right = ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(time.c_str()).x;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const std::string text = item.place.empty() ? item.what : item.place + ": " + item.what;
  if (ImGui::Selectable("##item", state.plan.selected == item.id, 0,
                        {0, ImGui::GetTextLineHeight() + 2 * small_frame_inset()}))
    state.plan.selected = state.plan.selected == item.id ? "" : item.id;
  if (ImGui::IsItemHovered()) draw_details(v, desk.bench().log, item, t);
  const float end = ImGui::GetWindowPos().x + right, y = at.y + small_frame_inset();
  ImGui::GetWindowDrawList()->AddText({at.x, y},
                                      colour_u32(item.done || !block.empty() ? t.muted : t.text),
                                      cut_to(text, end - t.px(8) - at.x).c_str());
  ImGui::GetWindowDrawList()->AddText({end, y}, colour_u32(t.muted), time.c_str());
  if (state.plan.selected == item.id) draw_editor(v, item, state, actions);
  ImGui::PopID();
}

void draw_add(ViewerState& state, Actions& actions) {
  PlanDrafts& d = state.plan;
  const Theme& t = state.theme;
  ImGui::SetNextItemWidth(t.px(200));
  if (ImGui::BeginCombo("##operation", facts(d.operation).words)) {
    for (const Operation o : operations())
      if (o != Operation::other && ImGui::Selectable(facts(o).words, o == d.operation))
        d.operation = o;
    ImGui::EndCombo();
  }
  ImGui::SameLine();
  if (!ImGui::Button("Add")) return;
  WorkItem item;
  item.operation = d.operation;
  item.stage = facts(d.operation).stage;
  item.what = facts(d.operation).words;
  item.reason = "added by hand";
  actions.push_back(AddItem{item});
}

template <class E, class Names>
void choose(const char* label, E value, const Names& names, E Known::*member, const Known& known,
            const Theme& t, Actions& actions) {
  field_label(t, label);
  if (!ImGui::BeginCombo(fmt::format("##{}", label).c_str(), name(value))) return;
  for (const E e : names)
    if (ImGui::Selectable(name(e), e == value) && e != value) {
      Known changed = known;
      changed.*member = e;
      actions.push_back(TellKnown{changed});
    }
  ImGui::EndCombo();
}

void draw_known(const Plan& plan, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Known& k = plan.known;
  PlanDrafts& d = state.plan;
  choose("leaked", k.leak_from,
         std::array{LeakSource::not_known, LeakSource::battery, LeakSource::capacitor,
                    LeakSource::both},
         &Known::leak_from, k, t, actions);
  choose("battery", k.battery,
         std::array{BatteryKind::not_known, BatteryKind::none, BatteryKind::nickel,
                    BatteryKind::alkaline, BatteryKind::zinc_carbon, BatteryKind::lithium_thionyl,
                    BatteryKind::lithium_sulphur_dioxide, BatteryKind::lithium_coin,
                    BatteryKind::lithium_ion, BatteryKind::lead_acid, BatteryKind::silver_oxide},
         &Known::battery, k, t, actions);
  const std::array told{Told::not_known, Told::no, Told::yes};
  const std::pair<const char*, Told Known::*> questions[] = {
      {"battery fitted", &Known::battery_fitted},
      {"leak is fresh", &Known::leak_is_fresh},
      {"hissing or smell", &Known::hissing_or_smell},
      {"wet", &Known::wet},
      {"alcohol on it", &Known::alcohol_on_board},
      {"coated", &Known::coated},
      {"above 50 V", &Known::above_50_v},
      {"mains capacitors", &Known::mains_capacitors},
      {"washed", &Known::washed},
      {"traces checked", &Known::traces_checked},
      {"spares to be had", &Known::spares_known}};
  for (const auto& [label, member] : questions)
    choose(label, k.*member, told, member, k, t, actions);
  heading(t, "Strip readings");
  for (size_t i = 0; i < k.strips.size(); ++i) {
    ImGui::PushID(static_cast<int>(i));
    ImGui::AlignTextToFramePadding();
    ImGui::TextUnformatted(fmt::format("{}: pH {:.1f}{}",
                                       k.strips[i].place.empty() ? "board" : k.strips[i].place,
                                       k.strips[i].ph, k.strips[i].after_rinse ? ", rinsed" : "")
                               .c_str());
    ImGui::SameLine(ImGui::GetContentRegionMax().x - t.px(80));
    if (ImGui::Button("Remove")) {
      Known changed = k;
      changed.strips.erase(changed.strips.begin() + static_cast<std::ptrdiff_t>(i));
      actions.push_back(TellKnown{changed});
    }
    ImGui::PopID();
  }
  ImGui::SetNextItemWidth(t.px(90));
  ImGui::InputTextWithHint("##strip place", "place", &d.strip_place);
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(60));
  ImGui::InputFloat("pH", &d.strip_ph, 0, 0, "%.1f");
  ImGui::SameLine();
  tick_box("rinsed", &d.strip_rinsed);
  ImGui::SameLine();
  const bool is_ph = d.strip_ph >= 0 && d.strip_ph <= 14;
  if (button("Add##strip", is_ph ? "" : "A pH lies between 0 and 14.")) {
    Known changed = k;
    changed.strips.push_back({d.strip_place, d.strip_ph, d.strip_rinsed, ""});
    actions.push_back(TellKnown{changed});
  }
}

void draw_items(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  std::optional<Stage> stage;
  for (const WorkItem& item : desk.plan().plan->items) {
    if (stage != item.stage) {
      heading(t, sentence_case(name(item.stage)).c_str());
      stage = item.stage;
    }
    draw_item(desk, item, state, actions);
  }
  ImGui::Separator();
  draw_add(state, actions);
}

void draw_orders(const Plan& plan, const Theme& t) {
  const auto orders = parts_to_order(plan);
  if (orders.empty()) return muted_text(t, "No part is asked for.");
  for (const PartToOrder& o : orders)
    row(t, o.part.designator.c_str(),
        fmt::format("{} {} {}{}", kind_words(o.part.kind), o.part.value, o.part.rating,
                    o.price ? fmt::format(", {:.2f} {}", *o.price, plan.rates.currency) : ""));
}

}  // namespace

void draw_plan_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Plan");
  const PlanView& v = desk.plan();
  const std::string not_ready = desk.derived().survey ? "" : "The photo is being surveyed.";
  if (!v.plan) {
    muted_text(t,
               "Work items in the trade's order from what was found, with likely and allow-up-to "
               "minutes. Waiting and parts stand apart.");
    if (not_ready.empty() ? main_button(t, "Make a plan  (N)")
                          : button("Make a plan  (N)", not_ready))
      actions.push_back(MakePlan{});
    return;
  }
  draw_totals(v, t);
  if (button("Make it anew from the survey  (N)", not_ready)) actions.push_back(MakePlan{});
  PanelTabs tabs(state, "plan");
  tabs.item("Work", [&] { draw_items(desk, state, actions); });
  tabs.item("Known", [&] { draw_known(*v.plan, state, actions); });
  tabs.item("Advice", [&] { draw_advice(*v.plan, t); });
  tabs.item("Order", [&] { draw_orders(*v.plan, t); });
}

void take_plan_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (was_pressed(state, GLFW_KEY_N)) actions.push_back(MakePlan{});
  const PlanView& v = desk.plan();
  if (!v.plan || v.plan->items.empty()) return;
  const auto& items = v.plan->items;
  const auto at = std::find_if(items.begin(), items.end(),
                               [&](const WorkItem& i) { return i.id == state.plan.selected; });
  const int by =
      was_pressed(state, GLFW_KEY_J, Held::repeats) - was_pressed(state, GLFW_KEY_K, Held::repeats);
  if (by != 0) {
    const int n = static_cast<int>(items.size());
    const int now = at == items.end() ? (by > 0 ? -1 : 0) : static_cast<int>(at - items.begin());
    state.plan.selected = items[static_cast<size_t>((now + by + n) % n)].id;
    return;
  }
  if (at == items.end()) return;
  if (was_pressed(state, GLFW_KEY_T)) actions.push_back(TickItem{at->id, !at->done});
  if (was_pressed(state, GLFW_KEY_DELETE)) actions.push_back(RemoveItem{at->id});
}

}  // namespace verdigrid
