#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "layout/package_table.h"
#include "report/figures.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void take_tool(ViewerState& state, Tool tool) {
  state.tool = state.tool == tool ? Tool::look : tool;
  state.drafts.tool_px.clear();
}

// No layout yet: three ways to one, each in a word.
void draw_ways(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  muted_text(t,
             "A layout gives zones and parts their names, so that areas are measured for each and "
             "one layout serves every board of its type.");
  const Rectification* r = desk.derived().rectification.get();
  const std::string why_not =
      !r                    ? "The board is being straightened."
      : r->outline_is_frame ? "The board's outline is not known: set its corners under Straighten."
                            : "";
  ImGui::Spacing();
  if (main_button(t, "Open a layout")) state.picker.open_for(PickFor::layout);
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t,
                    "A layout file, centroid table, KiCad board, IPC-D-356 netlist or Gerber "
                    "profile. Choose the photo it is tied to as well, and it places itself.");
  same_line_if_room("Draw one on this photo  (N)");
  if (button("Draw one on this photo  (N)", why_not)) actions.push_back(StartLayout{});
  if (desk.kept_layouts().empty()) return;
  heading(t, "Kept for a board type");
  for (const KeptLayout& kept : desk.kept_layouts()) {
    ImGui::PushID(kept.board_type.c_str());
    if (ImGui::Selectable(kept.name.c_str())) actions.push_back(UseKeptLayout{kept.board_type});
    ImGui::PopID();
  }
}

void draw_head(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Layout& layout = *desk.document()->layout;
  LayoutDrafts& d = state.layout;
  if (!d.board_type_is_edited) d.board_type = layout.board_type;
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##type", "Board type, for example \"logger main board 2\"",
                           &d.board_type);
  d.board_type_is_edited = ImGui::IsItemActive();
  if (ImGui::IsItemDeactivatedAfterEdit())
    actions.push_back(NameLayout{d.board_type, layout.revision});
  muted_text(
      t, fmt::format("{}, {}. {}", counted(layout.zones.size(), "zone", "zones"),
                     counted(layout.parts.size(), "part", "parts"), desk.derived().layout_words));
  const std::string lies = desk.derived().layout ? "" : "The layout does not lie on this photo.";
  if (button("Keep for this type", lies)) actions.push_back(KeepLayoutForType{});
  if (ImGui::IsItemHovered() && lies.empty())
    wrapped_tooltip(t,
                    "Every board of this type can use it, and what was found on them is learned.");
  same_line_if_room("Save file");
  if (button("Save file", lies)) actions.push_back(SaveLayout{});
  same_line_if_room("Take away");
  if (button("Take away")) actions.push_back(RemoveLayout{});
}

void draw_look_here_first(const Desk& desk, ViewerState& state) {
  const Theme& t = state.theme;
  const auto& learned = desk.derived().learned;
  const std::string why_not =
      learned.empty() ? "Nothing is learned yet: keep the layout for its type and save surveys of "
                        "boards of that type."
                      : "";
  ImGui::BeginDisabled(!why_not.empty());
  tick_box("Look here first", &state.layout.shows_learned);
  ImGui::EndDisabled();
  if (ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled))
    wrapped_tooltip(t, why_not.empty() ? "Where boards of this type had residue before." : why_not);
  if (!state.layout.shows_learned) return;
  constexpr size_t k_shown = 6;
  for (size_t i = 0; i < std::min(k_shown, learned.size()); ++i)
    row(t, learned[i].place.c_str(),
        fmt::format("{} of {} units", learned[i].units_found, learned[i].units_seen));
}

void draw_zone_tools(ViewerState& state) {
  const Theme& t = state.theme;
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##zone name", "Name of the next zone", &state.layout.zone_name);
  const std::pair<Tool, const char*> tools[] = {{Tool::zone_outline, "Outline  (O)"},
                                                {Tool::zone_rectangle, "Rectangle  (B)"},
                                                {Tool::zone_squares, "Squares  (S)"}};
  for (const auto& [tool, label] : tools) {
    if (tool != Tool::zone_outline) same_line_if_room(label);
    if (choice(t, label, state.tool == tool)) take_tool(state, tool);
  }
  const char* what = state.tool == Tool::zone_outline
                         ? "Click round the zone; click the first point again to close it."
                     : state.tool == Tool::zone_rectangle ? "Click two opposite corners."
                     : state.tool == Tool::zone_squares
                         ? "Click a square: all free squares that hang together become one zone."
                         : nullptr;
  if (what) muted_text(t, what);
}

void draw_zone_editor(const Zone& zone, ViewerState& state, Actions& actions) {
  LayoutDrafts& d = state.layout;
  const Theme& t = state.theme;
  if (d.name_of != zone.name) d.name_of = zone.name, d.text = zone.name, d.note = zone.note;
  Zone changed = zone;
  const auto commit = [&] {
    d.selected_zone = changed.name;
    actions.push_back(ChangeZone{zone.name, changed});
  };
  field_label(t, "name");
  ImGui::InputText("##name", &d.text);
  if (ImGui::IsItemDeactivatedAfterEdit()) changed.name = d.text, commit();
  field_label(t, "note");
  ImGui::InputText("##note", &d.note);
  if (ImGui::IsItemDeactivatedAfterEdit()) changed.note = d.note, commit();
  field_label(t, "importance", Follows::small_frame);
  for (int i = 1; i <= 5; ++i) {
    if (i > 1) ImGui::SameLine();
    if (radio(std::to_string(i).c_str(), zone.importance == i)) changed.importance = i, commit();
  }
  if (button("Remove zone")) actions.push_back(RemoveZone{zone.name});
}

void draw_zones(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Layout& layout = *desk.derived().layout;
  draw_zone_tools(state);
  if (layout.zones.empty())
    return muted_text(t,
                      "No zones yet: draw one round what belongs together, such as a connector "
                      "row or the battery corner.");
  for (const Zone& zone : layout.zones) {
    ImGui::PushID(zone.name.c_str());
    const bool is_selected = zone.name == state.layout.selected_zone;
    if (ImGui::Selectable(zone.name.c_str(), is_selected)) {
      state.layout.selected_zone = zone.name;
      state.layout.selected_part.clear();
    }
    if (desk.derived().survey)
      for (const ZoneRow& r : desk.derived().survey->zones.zones)
        if (r.name == zone.name) {
          const std::string text = amount_figure(r.affected, desk.derived().survey->zones.has_mm);
          ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize(text.c_str()).x);
          ImGui::PushStyleColor(ImGuiCol_Text, t.muted);
          ImGui::TextUnformatted(text.c_str());
          ImGui::PopStyleColor();
        }
    if (is_selected) {
      muted_text(t,
                 "Drag its points on the photo; a small ring between two adds one, the right "
                 "button takes one out. Keys: [ ] choose, arrows move, Ins, Del.");
      draw_zone_editor(zone, state, actions);
    }
    ImGui::PopID();
  }
}

void draw_stamp(ViewerState& state, const Layout& layout) {
  const Theme& t = state.theme;
  LayoutDrafts& d = state.layout;
  const auto& packages = package_table();
  const std::string no_mm =
      layout.has_mm ? "" : "Packages have sizes in mm: give the board's size under Straighten.";
  field_label(t, "package");
  if (ImGui::BeginCombo("##package", packages.at(d.package).name.c_str())) {
    for (size_t i = 0; i < packages.size(); ++i)
      if (ImGui::Selectable(packages[i].name.c_str(), i == d.package)) d.package = i;
    ImGui::EndCombo();
  }
  field_label(t, "designator");
  ImGui::InputText("##designator", &d.designator);
  field_label(t, "turned by \u00b0");
  ImGui::InputFloat("##turned", &d.rotation_deg, 90, 45, "%.0f");
  int array[2] = {d.columns, d.rows};
  field_label(t, "columns, rows");
  if (ImGui::InputInt2("##array", array))
    d.columns = std::clamp(array[0], 1, 1000), d.rows = std::clamp(array[1], 1, 1000);
  if (d.columns > 1 || d.rows > 1) {
    float steps[2] = {d.column_step, d.row_step};
    field_label(t, "mm apart");
    if (ImGui::InputFloat2("##apart", steps, "%.2f"))
      d.column_step = steps[0], d.row_step = steps[1];
  }
  ImGui::BeginDisabled(!no_mm.empty());
  if (choice(t, "Stamp  (P)", state.tool == Tool::stamp)) take_tool(state, Tool::stamp);
  ImGui::EndDisabled();
  if (!no_mm.empty() && ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled))
    wrapped_tooltip(t, no_mm);
  if (state.tool == Tool::stamp)
    muted_text(t, "Click where the part's middle lies; , and . turn it by 90\u00b0.");
}

void draw_part_editor(const Part& part, ViewerState& state, Actions& actions) {
  LayoutDrafts& d = state.layout;
  const Theme& t = state.theme;
  if (d.name_of != part.designator)
    d.name_of = part.designator, d.text = part.designator, d.note = part.value;
  Part changed = part;
  const auto commit = [&] {
    d.selected_part = changed.designator;
    actions.push_back(ChangePart{part.designator, changed});
  };
  field_label(t, "designator");
  ImGui::InputText("##edit", &d.text);
  if (ImGui::IsItemDeactivatedAfterEdit()) changed.designator = d.text, commit();
  field_label(t, "value");
  ImGui::InputText("##value", &d.note);
  if (ImGui::IsItemDeactivatedAfterEdit()) changed.value = d.note, commit();
  field_label(t, "kind");
  if (ImGui::BeginCombo("##kind", kind_words(part.kind).c_str())) {
    for (const PartKind kind : part_kinds())
      if (ImGui::Selectable(kind_words(kind).c_str(), kind == part.kind))
        changed.kind = kind, commit();
    ImGui::EndCombo();
  }
  if (button("Remove part")) actions.push_back(RemovePart{part.designator});
}

void draw_parts(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Layout& layout = *desk.derived().layout;
  draw_stamp(state, layout);
  ImGui::Separator();
  for (const Part& part : layout.parts)
    if (part.designator == state.layout.selected_part) draw_part_editor(part, state, actions);
  if (layout.parts.empty()) return muted_text(t, "No parts yet: choose a package and stamp it.");
  const float height = std::max(t.px(180), ImGui::GetContentRegionAvail().y);
  ImGui::BeginChild("parts", {0, height});
  ImGuiListClipper clipper;
  clipper.Begin(static_cast<int>(layout.parts.size()));
  while (clipper.Step())
    for (int i = clipper.DisplayStart; i < clipper.DisplayEnd; ++i) {
      const Part& part = layout.parts[static_cast<size_t>(i)];
      ImGui::PushID(part.designator.c_str());
      if (ImGui::Selectable(part.designator.c_str(),
                            part.designator == state.layout.selected_part) &&
          desk.derived().survey) {
        state.layout.selected_part = part.designator;
        state.layout.selected_zone.clear();
        const Rectification& r = desk.derived().survey->rectification;
        Ring ring = part.has_body() ? body_ring(part) : Ring{part.centre};
        for (cv::Point2d& p : ring) p = photo_point(r, p);
        go_to_region(desk, state, bounding_box(ring));
      }
      ImGui::SameLine(t.px(90));
      ImGui::PushStyleColor(ImGuiCol_Text, t.muted);
      ImGui::TextUnformatted(
          fmt::format("{}{}{}", kind_words(part.kind), part.value.empty() ? "" : ", ", part.value)
              .c_str());
      ImGui::PopStyleColor();
      ImGui::PopID();
    }
  ImGui::EndChild();
}

}  // namespace

void draw_layout_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, "Layout");
  if (!desk.document()->layout) return draw_ways(desk, state, actions);
  draw_head(desk, state, actions);
  if (!desk.derived().layout) {
    if (button("Open a layout")) state.picker.open_for(PickFor::layout);
    return;
  }
  draw_look_here_first(desk, state);
  tick_box("Zones", &state.layers.zones);
  ImGui::SameLine();
  tick_box("Parts", &state.layers.parts);
  ImGui::SameLine();
  tick_box("Grid", &state.layers.grid);
  PanelTabs tabs(state, "layout");
  tabs.item("Zones", [&] { draw_zones(desk, state, actions); });
  tabs.item("Parts", [&] { draw_parts(desk, state, actions); });
}

void take_layout_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (!desk.document()->layout && was_pressed(state, GLFW_KEY_N)) actions.push_back(StartLayout{});
  if (!desk.derived().layout) return;
  if (was_pressed(state, GLFW_KEY_O)) take_tool(state, Tool::zone_outline);
  if (was_pressed(state, GLFW_KEY_B)) take_tool(state, Tool::zone_rectangle);
  if (was_pressed(state, GLFW_KEY_S)) take_tool(state, Tool::zone_squares);
  if (was_pressed(state, GLFW_KEY_P) && desk.derived().layout->has_mm)
    take_tool(state, Tool::stamp);
  float& turn = state.layout.rotation_deg;
  if (was_pressed(state, GLFW_KEY_COMMA)) turn = turn >= 270 ? turn - 270 : turn + 90;
  if (was_pressed(state, GLFW_KEY_PERIOD)) turn = turn < 90 ? turn + 270 : turn - 90;
  if (!take_zone_point_keys(desk, state, actions) && was_pressed(state, GLFW_KEY_DELETE)) {
    if (!state.layout.selected_part.empty())
      actions.push_back(RemovePart{state.layout.selected_part});
    else if (!state.layout.selected_zone.empty())
      actions.push_back(RemoveZone{state.layout.selected_zone});
  }
}

}  // namespace verdigrid
