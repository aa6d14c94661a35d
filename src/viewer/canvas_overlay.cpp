#include <fmt/format.h>

#include "desk/edge_magnet.h"
#include "layout/edit.h"
#include "viewer/canvas_painter.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr float k_handle_radius = 8;
constexpr double k_magnet_reach = 18;  // screen px

ImVec2 im(cv::Point2d p) { return {static_cast<float>(p.x), static_cast<float>(p.y)}; }

void draw_findings(ImDrawList& list, const CanvasPainter& paint, const Survey& s,
                   const ViewerState& state) {
  const Theme& t = state.theme;
  cv::Rect2d seen = visible_px(state.view, state.canvas);
  const double beside = t.px(40) / state.view.scale;  // rings reach beyond their finding
  seen = {seen.x - beside, seen.y - beside, seen.width + 2 * beside, seen.height + 2 * beside};
  for (const Finding& f : s.findings.findings) {
    if ((cv::Rect2d(f.box_px) & seen).empty()) continue;
    const bool is_selected = f.id == state.selected_finding;
    const ImU32 colour = colour_u32(residue_colour(f.residue));
    if (is_selected)
      for (const Polygon& p : f.regions_px) paint.ring(p.outer, colour, t.px(2));
    const ImVec2 c = paint.at(f.centre_px), edge = paint.at({f.box_px.br().x + 0.0, f.centre_px.y});
    const float radius = std::max(std::hypot(edge.x - c.x, edge.y - c.y), t.px(9)) + t.px(4);
    if (state.layers.rings || is_selected) {
      list.AddCircle(c, radius, IM_COL32(0, 0, 0, 170), 0, t.px(is_selected ? 6 : 4));
      list.AddCircle(c, radius, colour, 0, t.px(is_selected ? 3.5f : 2));
      residue_chip(list, t, {c.x + radius * 0.72f, c.y - radius * 0.72f}, f.residue, t.px(8));
    }
  }
}

// The place that is asked about: its outline and a bright frame round the crop; the rest of the
// rings stay away.
void draw_place(const CanvasPainter& paint, const LookPlace& place, const Theme& t) {
  for (const Polygon& p : place.region_px)
    paint.ring(p.outer, colour_u32(residue_colour(place.residue)), t.px(2));
  const cv::Rect2d c(place.crop_px);
  paint.ring({c.tl(), {c.br().x, c.y}, c.br(), {c.x, c.br().y}}, IM_COL32(255, 255, 255, 230),
             t.px(1.5f));
}

void draw_notes(ImDrawList& list, const CanvasPainter& paint, const std::vector<Note>& notes,
                const Theme& t) {
  const ImU32 colour = IM_COL32(255, 214, 102, 255);
  for (const Note& n : notes) {
    const ImVec2 head = paint.at(n.points_px.back());
    if (n.kind == NoteKind::outline) paint.ring(n.points_px, colour, t.px(2));
    if (n.kind == NoteKind::arrow) {
      paint.line(n.points_px[0], n.points_px[1], colour, t.px(2.5f));
      const ImVec2 tail = paint.at(n.points_px[0]);
      const float length = std::max(1.f, std::hypot(head.x - tail.x, head.y - tail.y)),
                  ux = (head.x - tail.x) / length, uy = (head.y - tail.y) / length, s = t.px(11);
      list.AddTriangleFilled(
          head, {head.x - s * ux + s * 0.5f * uy, head.y - s * uy - s * 0.5f * ux},
          {head.x - s * ux - s * 0.5f * uy, head.y - s * uy + s * 0.5f * ux}, colour);
    }
    const ImVec2 sign = paint.at(sign_px(n));
    list.AddCircleFilled(sign, t.px(10), IM_COL32(30, 30, 30, 255), 20);
    list.AddCircleFilled(sign, t.px(8.5f), colour, 20);
    const std::string text = std::to_string(n.id);
    const ImVec2 size = ImGui::CalcTextSize(text.c_str());
    list.AddText({sign.x - size.x / 2, sign.y - size.y / 2}, IM_COL32(20, 20, 20, 255),
                 text.c_str());
  }
}

// Where to hold the meter's tips: both ends with the number of the list in the panel.
void draw_pair(const CanvasPainter& paint, const PairOnPhoto& pair, const Theme& t) {
  paint.line(pair.ends_px[0], pair.ends_px[1], colour_u32(k_accent_on_photo), t.px(1.5f));
  const std::string text = std::to_string(pair.number);
  const ImVec2 size = ImGui::CalcTextSize(text.c_str());
  for (const cv::Point2d& end : pair.ends_px) {
    const ImVec2 p = paint.at(end);
    paint.list().AddCircleFilled(p, t.px(10), IM_COL32(30, 30, 30, 255), 20);
    paint.list().AddCircleFilled(p, t.px(8.5f), IM_COL32(255, 255, 255, 255), 20);
    paint.list().AddText({p.x - size.x / 2, p.y - size.y / 2}, IM_COL32(20, 20, 20, 255),
                         text.c_str());
  }
}

// The four corners as handles; a drag is one undo step.
void handle_corners(const Desk& desk, ViewerState& state, Actions& actions, ImDrawList& list,
                    const CanvasPainter& paint, cv::Point2d mouse_px, bool is_over) {
  Drafts& d = state.drafts;
  if (state.step != Step::straighten || d.corners_px.size() != 4) return;
  paint.ring(d.corners_px, colour_u32(k_accent_on_photo), state.theme.px(2));
  for (int i = 0; i < 4; ++i) {
    const ImVec2 p = paint.at(d.corners_px[static_cast<size_t>(i)]);
    const ImVec2 m = ImGui::GetIO().MousePos;
    const bool is_hot =
        is_over && std::hypot(p.x - m.x, p.y - m.y) < state.theme.px(2 * k_handle_radius);
    if (is_hot && ImGui::IsMouseClicked(0) && d.dragged_corner < 0) d.dragged_corner = i;
    list.AddCircleFilled(p, state.theme.px(k_handle_radius), IM_COL32(0, 0, 0, 180), 24);
    list.AddCircleFilled(p, state.theme.px(k_handle_radius - 2),
                         is_hot || d.dragged_corner == i ? IM_COL32(255, 255, 255, 255)
                                                         : colour_u32(k_accent_on_photo),
                         24);
  }
  if (d.dragged_corner < 0) return;
  cv::Point2d to = mouse_px;
  // The magnet lets go while Alt is held.
  if (!ImGui::GetIO().KeyAlt && desk.derived().photo_pyramid)
    if (const auto corner = corner_near(*desk.derived().photo_pyramid, mouse_px,
                                        state.theme.px(k_magnet_reach) / state.view.scale)) {
      to = *corner;
      list.AddCircle(paint.at(to), state.theme.px(2.4f * k_handle_radius),
                     IM_COL32(255, 255, 255, 230), 32, state.theme.px(1.5f));
    }
  d.corners_px[static_cast<size_t>(d.dragged_corner)] = to;
  if (!ImGui::IsMouseReleased(0)) return;
  d.dragged_corner = -1;
  ScaleChoice s = desk.document()->scale;
  s.corners_px = d.corners_px;
  actions.push_back(SetScale{s, "Move a corner"});
}

}  // namespace

namespace {

void draw_under_step(const Desk& desk, const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  const Derived& d = desk.derived();
  const Survey& s = *d.survey;
  ImDrawList& list = paint.list();
  const bool is_bare = state.step == Step::straighten || state.step == Step::receive;
  const bool has_grid = state.layers.grid && !is_bare;
  const LookPlace* asked = state.step == Step::look ? current_place(desk) : nullptr;
  keep_places_free(paint, s, desk.document()->notes, has_grid);
  if (asked) {
    const cv::Rect2d crop(asked->crop_px);
    const ImVec2 from = paint.at(crop.tl()), to = paint.at(crop.br());
    paint.places().keep_free(cv::Rect2f({from.x, from.y}, cv::Point2f(to.x, to.y)));
  }
  if (has_grid) draw_grid_lines(paint, s);
  if (d.layout && !is_bare) draw_layout_on_canvas(desk, paint);
  if (has_grid) draw_square_names(paint, s);
  if (state.layers.outline && !s.rectification.outline_is_frame)
    paint.ring(s.rectification.outline_px.outer, colour_u32(k_accent_on_photo),
               state.theme.px(1.5f));
  if (state.step == Step::survey || state.step == Step::notes) draw_findings(list, paint, s, state);
  if (asked) draw_place(paint, *asked, state.theme);
  if (state.step == Step::bench) {
    if (const auto region = bench_region(desk))
      paint.ring(rectangle_ring(region->tl(), region->br()), colour_u32(k_accent_on_photo),
                 state.theme.px(3));
    for (const PairOnPhoto& pair : bench_pairs(desk)) draw_pair(paint, pair, state.theme);
  }
  draw_scale_bar(paint, s);
}

// Which of two photos is seen where.
void draw_pair_signs(const ComparedPictures& pair, const CanvasPainter& paint) {
  for (const ChangeItem& item : pair.comparison->changes)
    if (item.id == paint.state().compare.selected)
      paint.ring(rectangle_ring(cv::Point2d(item.box_px.tl()) - cv::Point2d(6, 6),
                                cv::Point2d(item.box_px.br()) + cv::Point2d(5, 5)),
                 colour_u32(change_colour(item.what)), paint.state().theme.px(2));
  const ViewerState& state = paint.state();
  const cv::Rect2d& c = state.canvas;
  const float x = static_cast<float>(c.x), y = static_cast<float>(c.y) + state.theme.px(12),
              width = static_cast<float>(c.width), gap = state.theme.px(16);
  const CompareMode mode = state.compare.mode;
  const float split = width * (mode == CompareMode::swipe ? state.compare.swipe_at : 0.5f);
  if (mode == CompareMode::swipe || mode == CompareMode::side_by_side) {
    const float bottom = static_cast<float>(c.br().y);
    paint.list().AddLine({x + split, static_cast<float>(c.y)}, {x + split, bottom},
                         IM_COL32(0, 0, 0, 180), state.theme.px(4));
    paint.list().AddLine({x + split, static_cast<float>(c.y)}, {x + split, bottom},
                         IM_COL32(255, 255, 255, 255), state.theme.px(2));
    paint.label({x + gap, y}, "before");
    paint.label({x + width - ImGui::CalcTextSize("after").x - gap, y}, "after");
    return;
  }
  const bool is_after =
      mode == CompareMode::after || (mode == CompareMode::blink && state.compare.shows_after);
  paint.label({x + gap, y}, mode == CompareMode::difference ? "difference"
                            : is_after                      ? "after"
                                                            : "before");
}

void draw_loupe_frame(const CanvasPainter& paint) {
  const ViewerState& state = paint.state();
  const cv::Rect2d where = loupe_screen(state);
  if (where.empty()) return;
  ImDrawList& list = paint.list();
  const ImVec2 a = im(where.tl()), b = im(where.br());
  const cv::Point2d c = (where.tl() + where.br()) * 0.5;
  list.AddRect(a, b, IM_COL32(0, 0, 0, 200), 0, 0, state.theme.px(4));
  list.AddRect(a, b, IM_COL32(255, 255, 255, 255), 0, 0, state.theme.px(2));
  const double arm = state.theme.px(9);
  for (const cv::Point2d along : {cv::Point2d(arm, 0), cv::Point2d(0, arm)}) {
    list.AddLine(im(c - along), im(c + along), IM_COL32(0, 0, 0, 180), state.theme.px(3));
    list.AddLine(im(c - along), im(c + along), IM_COL32(255, 255, 255, 255), state.theme.px(1));
  }
}

}  // namespace

void draw_canvas_overlay(const Desk& desk, ViewerState& state, Actions& actions) {
  const Derived& d = desk.derived();
  const cv::Rect2d c = state.canvas;
  ImGui::SetNextWindowPos(im(c.tl()));
  ImGui::SetNextWindowSize({static_cast<float>(c.width), static_cast<float>(c.height)});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0, 0});
  ImGui::Begin("canvas", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoSavedSettings |
                   ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoNavInputs);
  ImGui::InvisibleButton(
      "photo",
      {std::max(1.f, static_cast<float>(c.width)), std::max(1.f, static_cast<float>(c.height))},
      ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
          ImGuiButtonFlags_MouseButtonMiddle);
  const bool is_over = ImGui::IsItemHovered();
  const cv::Point2d mouse(ImGui::GetIO().MousePos.x, ImGui::GetIO().MousePos.y);
  state.cursor_px.reset();
  if (is_pairing(desk, state)) {
    handle_pairing(desk, state, actions, is_over);
  } else if (d.photo) {
    if (is_over) state.cursor_px = photo_from_screen(state.view, c, mouse);
    ImDrawList& list = *ImGui::GetWindowDrawList();
    LabelPlaces places{cv::Rect2f(c)};
    const CanvasPainter paint(list, state, places);
    const ComparedPictures* pair = compared_now(desk, state);
    if (pair) draw_pair_signs(*pair, paint);
    if (d.survey && !pair) draw_under_step(desk, paint);
    if (!pair) draw_close_ups(desk, paint);
    if (state.layers.notes && !pair && state.step != Step::straighten)
      draw_notes(list, paint, desk.document()->notes, state.theme);
    handle_corners(desk, state, actions, list, paint, photo_from_screen(state.view, c, mouse),
                   is_over);
    const bool is_on_point = handle_zone_points(desk, state, actions, paint,
                                                photo_from_screen(state.view, c, mouse), is_over);
    draw_tool(desk, paint);
    draw_loupe_frame(paint);
    handle_canvas_mouse(desk, state, actions, is_over && !is_on_point);
  }
  ImGui::End();
  ImGui::PopStyleVar();
}

}  // namespace verdigrid
