// Zones, parts and the look-here-first map over the photo.

#include <fmt/format.h>

#include <algorithm>

#include "viewer/canvas_painter.h"

namespace verdigrid {

namespace {

constexpr double k_full_tint_percent = 20;  // affected share from which the tint is strongest
// On the photo, whatever the tone of the panels.
const ImVec4 k_zone_colour(0.94f, 0.64f, 0.49f, 1);
constexpr float k_label_from = 46;  // screen px: smaller bodies carry no text

Ring in_photo(const Rectification& r, Ring ring) {
  for (cv::Point2d& p : ring) p = photo_point(r, p);
  return ring;
}

float width_on_screen(const CanvasPainter& paint, const Ring& ring_px) {
  const cv::Rect2d box = bounding_box(ring_px);
  return static_cast<float>(std::max(box.width, box.height) * paint.state().view.scale);
}

const ZoneRow* row_named(const std::vector<ZoneRow>& rows, const std::string& name) {
  const auto at =
      std::find_if(rows.begin(), rows.end(), [&](const ZoneRow& r) { return r.name == name; });
  return at == rows.end() ? nullptr : &*at;
}

// Along the lower edge of what is seen of the zone, else along its upper one or below it, as far to
// the left as there is room. In a view too small for all names the chosen zone's alone stands on
// others.
void label_zone(const CanvasPainter& paint, const Ring& ring_px, const std::string& text,
                bool is_selected) {
  const Theme& t = paint.state().theme;
  const cv::Rect2d box = bounding_box(ring_px);
  const ImVec2 from = paint.at(box.tl()), to = paint.at(box.br());
  const cv::Rect2f seen = cv::Rect2f(cv::Point2f(from.x, from.y), cv::Point2f(to.x, to.y)) &
                          cv::Rect2f(paint.state().canvas);
  if (seen.empty()) return;
  constexpr int k_steps = 6;
  std::vector<cv::Point2f> places;
  for (const float y : {seen.br().y - t.px(24), seen.y + t.px(4), seen.br().y + t.px(4)})
    for (int i = 0; i < k_steps; ++i)
      places.emplace_back(seen.x + t.px(6) + static_cast<float>(i) * seen.width / k_steps, y);
  if (paint.label_if_free(places, text) || !is_selected) return;
  const ImVec2 size = ImGui::CalcTextSize(text.c_str());
  const cv::Point2f at = paint.places().inside(places.front(), {size.x, size.y});
  paint.label({at.x, at.y}, text);
}

void draw_zones(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  const Theme& t = state.theme;
  const Survey& s = *desk.derived().survey;
  for (const Zone& zone : desk.derived().layout->zones) {
    if (zone.side && *zone.side != s.rectification.side) continue;
    const Ring ring = in_photo(s.rectification, zone.polygon.outer);
    const ZoneRow* row = row_named(s.zones.zones, zone.name);
    const double percent = row ? row->affected.percent.value : 0;
    // From nothing to full with the affected share; the figure stands beside the name.
    const float strength = static_cast<float>(std::min(1.0, percent / k_full_tint_percent));
    if (percent > 0 && state.step == Step::layout)
      paint.fill(ring, colour_u32(k_zone_colour, 0.06f + 0.24f * strength));
    const bool is_selected = zone.name == state.layout.selected_zone;
    paint.ring(ring, is_selected ? IM_COL32(255, 255, 255, 255) : colour_u32(k_zone_colour),
               t.px(is_selected ? 3.f : 1.5f));
    label_zone(paint, ring,
               percent > 0 ? fmt::format("{}  {:.2g} %", zone.name, percent) : zone.name,
               is_selected);
  }
}

void draw_parts(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  const Theme& t = state.theme;
  const Survey& s = *desk.derived().survey;
  const Layout& layout = *desk.derived().layout;
  const cv::Rect2d seen = visible_px(state.view, state.canvas);
  for (size_t i = 0; i < layout.parts.size(); ++i) {
    const Part& part = layout.parts[i];
    if (part.side != s.rectification.side) continue;
    const bool is_selected = part.designator == state.layout.selected_part;
    const Ring ring = part.has_body() ? in_photo(s.rectification, body_ring(part))
                                      : Ring{photo_point(s.rectification, part.centre)};
    if ((bounding_box(ring) & seen).empty() && !seen.contains(ring.front())) continue;
    const PartRow* row = i < s.zones.parts.size() && s.zones.parts[i].row.name == part.designator
                             ? &s.zones.parts[i]
                             : nullptr;
    const bool is_reached = row && row->reach == Reach::touched;
    const ImU32 colour = is_selected  ? IM_COL32(255, 255, 255, 255)
                         : is_reached ? colour_u32(k_zone_colour)
                                      : IM_COL32(190, 210, 225, 200);
    if (state.layers.unseen && row && row->hides) paint.fill(ring, IM_COL32(180, 180, 180, 120));
    if (ring.size() == 1)
      paint.list().AddCircle(paint.at(ring[0]), t.px(4), colour, 12, t.px(1.5f));
    else
      paint.ring(ring, colour, t.px(is_selected ? 2.5f : 1.f));
    if (const auto end = negative_end_point(part); end && ring.size() > 1) {
      const ImVec2 p = paint.at(photo_point(s.rectification, *end));
      paint.list().AddRectFilled({p.x - t.px(4), p.y - t.px(1)}, {p.x + t.px(4), p.y + t.px(1)},
                                 colour);
    }
    if (is_selected || width_on_screen(paint, ring) > t.px(k_label_from)) {
      const ImVec2 p = paint.at(photo_point(s.rectification, part.centre));
      const ImVec2 size = ImGui::CalcTextSize(part.designator.c_str());
      const std::string text = is_reached ? part.designator + " !" : part.designator;
      const cv::Point2f at(p.x - size.x / 2, p.y - size.y / 2);
      if (!paint.label_if_free({at}, text) && is_selected) paint.label({at.x, at.y}, text);
    }
  }
}

// Where this board type leaked before, darker with the share of units.
void draw_learned(const Desk& desk, const CanvasPainter& paint) {
  const Survey& s = *desk.derived().survey;
  const Layout& layout = *desk.derived().layout;
  for (const Learned& l : desk.derived().learned) {
    if (l.units_seen == 0) continue;
    Ring ring;
    if (const auto square = square_named(s.zones.grid, l.place)) {
      const cv::Rect2d q = square_rect(s.zones.grid, square->row, square->column);
      ring = rectangle_ring(q.tl(), q.br());
    }
    for (const Zone& zone : layout.zones)
      if (!l.is_part && zone.name == l.place) ring = zone.polygon.outer;
    for (const Part& part : layout.parts)
      if (l.is_part && part.designator == l.place) ring = body_ring(part);
    if (ring.size() < 3) continue;
    ring = in_photo(s.rectification, ring);
    const float share = static_cast<float>(l.units_found) / static_cast<float>(l.units_seen);
    paint.fill(ring, colour_u32(k_accent_on_photo, 0.1f + 0.35f * share));
    if (width_on_screen(paint, ring) < paint.state().theme.px(k_label_from)) continue;
    const cv::Rect2d box = bounding_box(ring);
    const ImVec2 at = paint.at({box.x + box.width / 2, box.y + box.height / 2});
    paint.label_if_free({{at.x, at.y}}, fmt::format("{} of {}", l.units_found, l.units_seen));
  }
}

}  // namespace

void draw_layout_on_canvas(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  if (state.step == Step::layout && state.layout.shows_learned) draw_learned(desk, paint);
  if (state.layers.zones) draw_zones(desk, paint);
  if (state.layers.parts && (state.step == Step::layout || state.layers.unseen))
    draw_parts(desk, paint);
}

}  // namespace verdigrid
