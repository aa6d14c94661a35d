#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

std::string boards_words(const OrderLine& line, const std::vector<NeededPart>& parts) {
  std::string text, board;
  for (const size_t i : line.parts) {
    if (parts[i].board != board)
      text += fmt::format("{}{}, {}:", text.empty() ? "" : "\n", parts[i].unit_name,
                          parts[i].board_name);
    board = parts[i].board;
    text += " " + parts[i].designator;
  }
  return text;
}

void draw_lines(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const ShelfView& shelf = desk.shelf();
  OrderDrafts& d = state.orders;
  OrderOptions options{d.offered, d.this_unit ? desk.unit_id() : std::string()};
  tick_box("offered parts too", &d.offered);
  ImGui::SameLine();
  tick_box("this unit alone", &d.this_unit);
  const auto lines = order_lines(shelf.parts, options);
  if (lines.empty()) muted_text(t, "No part that may be ordered is needed.");
  for (const OrderLine& l : lines) {
    std::string text = fmt::format("{} x {}", l.parts.size(), words(l.spec));
    if (!l.substitute.empty()) text += "; " + l.substitute;
    wrapped(text);
    if (ImGui::IsItemHovered()) wrapped_tooltip(t, boards_words(l, shelf.parts));
    if (const std::string missing = missing_words(l.spec); !missing.empty())
      muted_text(t, "not known: " + missing);
  }
  ImGui::Spacing();
  const std::string nothing = lines.empty() ? "There is nothing to order." : "";
  ImGui::SetNextItemWidth(-t.px(90));
  ImGui::InputTextWithHint("from", "where it is ordered", &d.from);
  if (button("Log as ordered", nothing)) actions.push_back(PlaceOrder{options, d.from});
  same_line_if_room("Save as CSV");
  if (button("Save as CSV", nothing)) actions.push_back(SaveOrder{options});
  same_line_if_room("Take from the drawer");
  if (button("Take from the drawer", shelf.drawer.empty() ? "The drawer is empty." : nothing))
    actions.push_back(TakeFromDrawer{options});
  if (shelf.orders.empty()) return;
  heading(t, "Orders");
  for (const PlacedOrder& o : shelf.orders) {
    ImGui::PushID(o.id.c_str());
    row(t, o.from.empty() ? o.on.c_str() : fmt::format("{}, {}", o.on, o.from).c_str(),
        fmt::format("{} of {} here", o.arrived, o.parts));
    if (o.arrived < o.parts && ImGui::Button("It arrived")) actions.push_back(OrderArrived{o.id});
    ImGui::PopID();
  }
}

void draw_part_editor(const NeededPart& p, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OrderDrafts& d = state.orders;
  ImGui::SetNextItemWidth(t.px(170));
  if (ImGui::BeginCombo("state", name(p.state))) {
    for (const OrderState s : k_order_states)
      if (ImGui::Selectable(name(s), s == p.state) && s != p.state)
        actions.push_back(TellPart{
            p.board, p.designator, {.state = s}, fmt::format("{}: {}", p.designator, name(s))});
    ImGui::EndCombo();
  }
  const auto text = [&](const char* label, const char* hint, std::string& draft,
                        std::optional<std::string> PartUpdate::*member) {
    ImGui::SetNextItemWidth(t.px(170));
    ImGui::InputTextWithHint(label, hint, &draft);
    if (!ImGui::IsItemDeactivatedAfterEdit()) return;
    PartUpdate change;
    change.*member = draft;
    actions.push_back(TellPart{p.board, p.designator, change, p.designator + ": " + label});
  };
  const auto size = [&](const char* label, float& draft,
                        std::optional<double> PartUpdate::*member) {
    ImGui::SetNextItemWidth(t.px(80));
    ImGui::InputFloat(label, &draft, 0, 0, "%.1f");
    if (!ImGui::IsItemDeactivatedAfterEdit()) return;
    PartUpdate change;
    change.*member = static_cast<double>(draft);
    actions.push_back(TellPart{p.board, p.designator, change, p.designator + ": " + label});
  };
  text("value", "as you read it: 100 uF", d.value, &PartUpdate::value);
  text("substitute", "what is fitted instead", d.substitute, &PartUpdate::substitute);
  size("V", d.volts, &PartUpdate::volts);
  ImGui::SameLine();
  size("mm wide", d.diameter, &PartUpdate::diameter_mm);
  size("mm high", d.height, &PartUpdate::height_mm);
  ImGui::SameLine();
  size("mm leads", d.spacing, &PartUpdate::spacing_mm);
}

void take_drafts(const NeededPart& p, OrderDrafts& d) {
  d.value = p.spec.value, d.substitute = p.substitute;
  d.volts = static_cast<float>(p.spec.volts), d.diameter = static_cast<float>(p.spec.diameter_mm);
  d.height = static_cast<float>(p.spec.height_mm);
  d.spacing = static_cast<float>(p.spec.spacing_mm);
}

void draw_parts(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OrderDrafts& d = state.orders;
  const ShelfView& shelf = desk.shelf();
  if (shelf.parts.empty())
    return muted_text(t,
                      "No plan asks for a new part: make a plan, or add an item that replaces "
                      "one.");
  std::string board;
  for (const NeededPart& p : shelf.parts) {
    if (p.board != board) heading(t, fmt::format("{}, {}", p.unit_name, p.board_name).c_str());
    board = p.board;
    const std::string id = p.board + p.designator;
    ImGui::PushID(id.c_str());
    if (ImGui::Selectable(p.designator.c_str(), d.selected == id, 0, {t.px(54), 0})) {
      d.selected = d.selected == id ? "" : id;
      take_drafts(p, d);
    }
    ImGui::SameLine(t.px(70));
    ImGui::PushStyleColor(ImGuiCol_Text, p.why_not.empty() ? t.text : t.muted);
    wrapped(fmt::format("{}{}: {}", name(p.state), p.optional ? ", offered" : "", words(p.spec)));
    ImGui::PopStyleColor();
    if (ImGui::IsItemHovered())
      wrapped_tooltip(t, fmt::format("Value: {}. {}", p.value_from, p.why_not));
    if (d.selected == id) {
      if (!p.why_not.empty()) muted_text(t, p.why_not);
      draw_part_editor(p, state, actions);
    }
    ImGui::PopID();
  }
}

void draw_drawer(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OrderDrafts& d = state.orders;
  for (size_t i = 0; i < desk.shelf().drawer.size(); ++i) {
    const StockRow& r = desk.shelf().drawer[i];
    ImGui::PushID(static_cast<int>(i));
    if (ImGui::SmallButton("-")) actions.push_back(ChangeStock{{r.spec, -1, r.note}});
    ImGui::SameLine();
    if (ImGui::SmallButton("+")) actions.push_back(ChangeStock{{r.spec, 1, r.note}});
    ImGui::SameLine();
    wrapped(fmt::format("{} x {}{}", r.count, words(r.spec), r.note.empty() ? "" : "; " + r.note));
    ImGui::PopID();
  }
  if (desk.shelf().drawer.empty()) muted_text(t, "The drawer is empty.");
  heading(t, "Add");
  ImGui::SetNextItemWidth(t.px(170));
  if (ImGui::BeginCombo("kind", name(d.stock.spec.kind))) {
    for (const PartKind kind : part_kinds())
      if (ImGui::Selectable(name(kind), kind == d.stock.spec.kind)) d.stock.spec.kind = kind;
    ImGui::EndCombo();
  }
  ImGui::SetNextItemWidth(t.px(170));
  ImGui::InputTextWithHint("value", "100 uF", &d.stock.spec.value);
  const auto size = [&](const char* label, double& value) {
    auto v = static_cast<float>(value);
    ImGui::SetNextItemWidth(t.px(80));
    if (ImGui::InputFloat(label, &v, 0, 0, "%.1f")) value = std::max(0.f, v);
  };
  size("V", d.stock.spec.volts);
  ImGui::SameLine();
  size("mm wide", d.stock.spec.diameter_mm);
  size("mm high", d.stock.spec.height_mm);
  ImGui::SameLine();
  size("mm leads", d.stock.spec.spacing_mm);
  ImGui::SetNextItemWidth(t.px(170));
  ImGui::InputTextWithHint("note", "series, date code, box", &d.stock.note);
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputInt("pieces", &d.stock.count, 0);
  ImGui::SameLine();
  const std::string why_not = d.stock.spec.value.empty() ? "Its value is missing."
                              : d.stock.count < 1        ? "Say how many."
                                                         : "";
  if (button("Put in the drawer", why_not)) {
    StockRow added = d.stock;
    added.spec.value = plain_value(added.spec.value);
    actions.push_back(ChangeStock{added});
  }
}

}  // namespace

void draw_orders_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Orders");
  if (!desk.shelf().is_read) {
    actions.push_back(ReadShelf{});
    return muted_text(t, "The shelf is being read.");
  }
  PanelTabs tabs(state, "orders");
  tabs.item("To order", [&] { draw_lines(desk, state, actions); });
  tabs.item("Parts", [&] { draw_parts(desk, state, actions); });
  tabs.item("Drawer", [&] { draw_drawer(desk, state, actions); });
}

}  // namespace verdigrid
