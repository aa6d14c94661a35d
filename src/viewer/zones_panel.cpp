#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "report/figures.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"
#include "viewer/zone_text.h"

namespace verdigrid {

namespace {

using Rows = ViewerState::Rows;

enum Column : ImGuiID { by_name, by_area, by_percent, by_word, by_unseen };

std::vector<const ZoneRow*> rows_of(const ZoneTable& z, Rows which) {
  std::vector<const ZoneRow*> rows;
  if (which == Rows::parts)
    for (const PartRow& p : z.parts) rows.push_back(&p.row);
  else
    for (const ZoneRow& r : which == Rows::zones ? z.zones : z.squares) rows.push_back(&r);
  return rows;
}

double sort_value(const ZoneRow& r, ImGuiID column) {
  switch (column) {
    case by_area:
      return r.affected.area.value;
    case by_percent:
      return r.affected.percent.value;
    case by_word:
      return static_cast<double>(r.severity);
    case by_unseen:
      return r.unseen.total_percent;
    default:
      return 0;
  }
}

void sort(std::vector<const ZoneRow*>& rows, const ImGuiTableSortSpecs* specs) {
  if (!specs || specs->SpecsCount == 0) return;
  const ImGuiTableColumnSortSpecs& s = specs->Specs[0];
  if (s.ColumnUserID == by_name) {
    // The order of the board; only its direction can be turned.
    if (s.SortDirection == ImGuiSortDirection_Descending) std::reverse(rows.begin(), rows.end());
    return;
  }
  const double sign = s.SortDirection == ImGuiSortDirection_Descending ? -1 : 1;
  std::stable_sort(rows.begin(), rows.end(), [&](const ZoneRow* a, const ZoneRow* b) {
    return sign * sort_value(*a, s.ColumnUserID) < sign * sort_value(*b, s.ColumnUserID);
  });
}

// Where a row lies in the photo.
std::optional<cv::Rect2d> region_px(const Desk& desk, const ZoneRow& row, Rows which) {
  const Survey& s = *desk.derived().survey;
  Ring ring;
  if (which == Rows::squares) {
    if (const auto square = square_named(s.zones.grid, row.name)) {
      const cv::Rect2d q = square_rect(s.zones.grid, square->row, square->column);
      ring = rectangle_ring(q.tl(), q.br());
    }
  } else if (const Layout* layout = desk.derived().layout.get()) {
    for (const Zone& z : layout->zones)
      if (which == Rows::zones && z.name == row.name) ring = z.polygon.outer;
    for (const Part& p : layout->parts)
      if (which == Rows::parts && p.designator == row.name)
        ring = p.has_body() ? body_ring(p) : Ring{p.centre};
  }
  if (ring.empty()) return std::nullopt;
  for (cv::Point2d& p : ring) p = photo_point(s.rectification, p);
  return bounding_box(ring);
}

void draw_details(const Theme& t, const Survey& s, const ZoneRow& r) {
  ImGui::BeginTooltip();
  ImGui::PushFont(t.strong);
  ImGui::TextUnformatted(r.name.c_str());
  ImGui::PopFont();
  for (const Residue c : k_residues) {
    const Amount& a = r.by_class[static_cast<size_t>(c)];
    if (a.px == 0) continue;
    residue_sign(t, c);
    ImGui::TextUnformatted(
        fmt::format("{}  {}", name(c), amount_figure(a, s.zones.has_mm)).c_str());
  }
  ImGui::PushTextWrapPos(t.px(340));
  ImGui::TextUnformatted(
      fmt::format("Together {}. Unseen {}: glare {}, blur {}{}, outside the photo "
                  "{}.",
                  amount_figure(r.affected, s.zones.has_mm), percent_figure(r.unseen.total_percent),
                  percent_figure(r.unseen.glare_percent), percent_figure(r.unseen.blur_percent),
                  s.layout ? ", under parts " + percent_figure(r.unseen.under_parts_percent) : "",
                  percent_figure(r.unseen.outside_photo_percent))
          .c_str());
  if (!r.parts_reached.empty())
    ImGui::TextUnformatted(
        fmt::format("Parts reached: {}", fmt::join(r.parts_reached, ", ")).c_str());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

void cell(const std::string& text) {
  ImGui::TableNextColumn();
  ImGui::TextUnformatted(text.c_str());
}

void draw_table(const Desk& desk, ViewerState& state, std::vector<const ZoneRow*>& rows) {
  const Theme& t = state.theme;
  const Survey& s = *desk.derived().survey;
  const float height = std::max(
      t.px(200), ImGui::GetContentRegionAvail().y - 2 * ImGui::GetFrameHeightWithSpacing());
  if (!ImGui::BeginTable("zones", 5,
                         ImGuiTableFlags_RowBg | ImGuiTableFlags_SizingStretchProp |
                             ImGuiTableFlags_Sortable | ImGuiTableFlags_ScrollY,
                         {0, height}))
    return;
  ImGui::TableSetupScrollFreeze(0, 1);
  const auto down = ImGuiTableColumnFlags_PreferSortDescending;
  ImGui::TableSetupColumn(state.rows == Rows::squares ? "Square"
                          : state.rows == Rows::zones ? "Zone"
                                                      : "Part",
                          0, state.rows == Rows::squares ? 1.2f : 1.9f, by_name);
  ImGui::TableSetupColumn(s.zones.has_mm ? "mm\u00b2" : "px",
                          down | ImGuiTableColumnFlags_DefaultSort, 1.15f, by_area);
  ImGui::TableSetupColumn("%", down, 0.85f, by_percent);
  ImGui::TableSetupColumn("First word", down, 2.0f, by_word);
  ImGui::TableSetupColumn("Unseen", down, 1.2f, by_unseen);
  ImGui::TableHeadersRow();
  sort(rows, ImGui::TableGetSortSpecs());
  for (const ZoneRow* r : rows) {
    ImGui::PushID(r->name.c_str());
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    if (ImGui::Selectable(r->name.c_str(), false, ImGuiSelectableFlags_SpanAllColumns))
      if (const auto region = region_px(desk, *r, state.rows)) go_to_region(desk, state, *region);
    if (ImGui::IsItemHovered()) draw_details(t, s, *r);
    cell(r->affected.px == 0 ? "0"
         : s.zones.has_mm    ? short_figure(r->affected.area.value)
                             : std::to_string(r->affected.px));
    cell(r->affected.px == 0 ? "0" : short_figure(r->affected.percent.value));
    cell(name(r->severity));
    cell(fmt::format("{:.0f} %", r->unseen.total_percent));
    ImGui::PopID();
  }
  ImGui::EndTable();
}

}  // namespace

void draw_zone_table(const Desk& desk, ViewerState& state) {
  const Theme& t = state.theme;
  const ZoneTable& z = desk.derived().survey->zones;
  const std::string none =
      z.zones.empty() && z.parts.empty() ? "No layout lies on this photo." : "";
  const std::tuple<Rows, const char*, std::string> choices[] = {
      {Rows::squares, "Squares", ""},
      {Rows::zones, "Zones", z.zones.empty() && none.empty() ? "The layout has no zones." : none},
      {Rows::parts, "Parts", z.parts.empty() && none.empty() ? "The layout has no parts." : none}};
  for (const auto& [which, label, why_not] : choices) {
    if (which != Rows::squares) same_line_if_room(label);
    if (choice(t, label, state.rows == which, why_not)) state.rows = which;
    if (state.rows == which && !why_not.empty()) state.rows = Rows::squares;
  }
  std::vector<const ZoneRow*> rows = rows_of(z, state.rows);
  draw_table(desk, state, rows);
  if (button("Copy the table")) ImGui::SetClipboardText(zones_tsv(rows, z.has_mm).c_str());
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t, "Tab-separated text, as the rows stand, with every class and interval.");
}

void draw_unseen(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Document& d = *desk.document();
  const Survey& s = *desk.derived().survey;
  const Unseen& u = s.zones.total.unseen;
  row(t, "Unseen", percent_figure(u.total_percent) + " of the board");
  row(t, "glare", percent_figure(u.glare_percent));
  row(t, "blur", percent_figure(u.blur_percent));
  if (s.layout) row(t, "under parts", percent_figure(u.under_parts_percent));
  row(t, "outside the photo", percent_figure(u.outside_photo_percent));
  tick_box("Show it on the photo  (V)", &state.layers.unseen);
  heading(t, "Tick off what you looked at");
  std::vector<std::string> looks{d.scale.side == Side::front ? "back" : "front"};
  if (!s.layout) looks.push_back("under chips and sockets");
  for (const PartRow& p : s.zones.parts)
    if (p.side == d.scale.side &&
        (p.hides || std::find(d.peeks.begin(), d.peeks.end(), p.row.name) != d.peeks.end()))
      looks.push_back(p.row.name);
  for (const std::string& what : looks) {
    bool is_seen = std::find(d.peeks.begin(), d.peeks.end(), what) != d.peeks.end();
    const bool is_part = what != "back" && what != "front" && what != "under chips and sockets";
    if (tick_box((is_part ? "under " + what : what).c_str(), &is_seen))
      actions.push_back(SetPeek{what, is_seen ? Answer3::yes : Answer3::no});
  }
  if (!s.layout)
    muted_text(t, "With a layout the parts that hide board are listed one by one (step Layout).");
}

}  // namespace verdigrid
