#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "layout/frame.h"
#include "layout/import.h"

namespace verdigrid {

namespace {

// Applies `f` to every point of the layout.
template <typename F>
void map_points(Layout& layout, F f) {
  const auto map_ring = [&](Ring& ring) {
    for (cv::Point2d& p : ring) p = f(p);
  };
  map_ring(layout.outline.outer);
  for (Ring& hole : layout.outline.holes) map_ring(hole);
  for (Zone& zone : layout.zones) {
    map_ring(zone.polygon.outer);
    for (Ring& hole : zone.polygon.holes) map_ring(hole);
  }
  for (Part& part : layout.parts) {
    part.centre = f(part.centre);
    for (Joint& joint : part.joints) joint.centre = f(joint.centre);
  }
  for (Hole& hole : layout.holes) hole.centre = f(hole.centre);
  for (LayoutNote& note : layout.notes) map_ring(note.points);
  for (ReferencePoint& point : layout.reference_points) point.centre = f(point.centre);
}

Layout y_down(const Imported& imported) {
  Layout layout = imported.layout;
  if (imported.y_axis == YAxis::up)
    map_points(layout, [](cv::Point2d p) { return cv::Point2d(p.x, -p.y); });
  layout.outline.outer = clockwise(std::move(layout.outline.outer));
  return layout;
}

Part mirrored_in_place(Part part, double sum_x) {
  part.centre.x = sum_x - part.centre.x;
  for (Joint& joint : part.joints) joint.centre.x = sum_x - joint.centre.x;
  part.rotation_deg = turn_in_circle(-part.rotation_deg);
  return part;
}

// Share of the back's parts whose centre lies in the box after mirroring about sum_x / 2.
double share_inside(const std::vector<Part>& parts, const cv::Rect2d& box, double sum_x,
                    double sign) {
  size_t inside = 0, all = 0;
  for (const Part& part : parts) {
    if (part.side != Side::back) continue;
    ++all;
    const double x = sum_x + sign * part.centre.x;
    inside += x >= box.x && x <= box.x + box.width;
  }
  return all == 0 ? 1 : static_cast<double>(inside) / static_cast<double>(all);
}

// Box of what is sure: the outline, else the parts of the front.
std::optional<cv::Rect2d> sure_box(const Layout& layout) {
  if (!layout.outline.empty()) return bounding_box(layout.outline.outer);
  Ring front;
  for (const Part& part : layout.parts)
    if (part.side == Side::front) front.push_back(part.centre);
  if (front.size() < 3) return std::nullopt;
  return bounding_box(front);
}

// Some programs give the back as seen from the back, x negated about the origin.
void mend_mirrored_back(Layout& layout) {
  const auto box = sure_box(layout);
  if (!box || box->width <= 0) return;
  const double as_is = share_inside(layout.parts, *box, 0, 1);
  const double negated = share_inside(layout.parts, *box, 0, -1);
  if (as_is >= 0.5 || negated < 0.8) return;
  for (Part& part : layout.parts)
    if (part.side == Side::back) part = mirrored_in_place(std::move(part), 0);
  layout.source.remarks.emplace_back(
      "The parts on the back were given mirrored, as seen from the back; they were mirrored to the "
      "front's coordinates.");
}

// A plain rectangle for files without outline. Their origin is the board's corner as a rule (common
// practice, no source): lower left with y up, upper left with y down.
void add_plain_outline(Layout& layout, YAxis y_axis, cv::Size2d size) {
  constexpr double k_slack_mm = 0.5, k_least_inside = 0.95;
  if (!(size.width > 0 && size.height > 0 && size.width < 1e5 && size.height < 1e5))
    throw Error(ErrorKind::wrong_use, "The board's width and height must be above 0 mm.");
  cv::Rect2d board(0, y_axis == YAxis::up ? -size.height : 0, size.width, size.height);
  const cv::Rect2d wide(board.x - k_slack_mm, board.y - k_slack_mm, board.width + 2 * k_slack_mm,
                        board.height + 2 * k_slack_mm);
  const auto inside = std::count_if(layout.parts.begin(), layout.parts.end(),
                                    [&](const Part& part) { return wide.contains(part.centre); });
  if (static_cast<double>(inside) < k_least_inside * static_cast<double>(layout.parts.size())) {
    const cv::Rect2d box = layout_box(layout);
    board.x = box.x + (box.width - size.width) / 2;
    board.y = box.y + (box.height - size.height) / 2;
    layout.source.remarks.emplace_back(
        "The origin is not at the board's corner: the board was laid centred about the parts; "
        "check "
        "it on the drawing.");
  } else {
    layout.source.remarks.emplace_back(
        "The outline is a plain rectangle of the size you gave, from the table's origin.");
  }
  layout.outline.outer = {{board.x, board.y},
                          {board.x + board.width, board.y},
                          {board.x + board.width, board.y + board.height},
                          {board.x, board.y + board.height}};
}

void merge(Layout& into, Layout&& other) {
  if (into.outline.empty()) into.outline = std::move(other.outline);
  if (into.board_type.empty()) into.board_type = other.board_type;
  if (into.revision.empty()) into.revision = other.revision;
  const auto append = [](auto& to, auto& from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
  };
  append(into.zones, other.zones);
  append(into.parts, other.parts);
  append(into.holes, other.holes);
  append(into.notes, other.notes);
  append(into.reference_points, other.reference_points);
  append(into.source.remarks, other.source.remarks);
}

}  // namespace

Layout board_layout(const std::vector<Imported>& imported, const ImportOptions& options) {
  require(!imported.empty(), "nothing was imported");
  if (imported.size() == 1 && imported[0].format == LayoutFormat::layout_file)
    return imported[0].layout;
  Layout layout = y_down(imported[0]);
  for (size_t i = 1; i < imported.size(); ++i) merge(layout, y_down(imported[i]));
  if (layout.outline.empty() && options.board_mm)
    add_plain_outline(layout, imported[0].y_axis, *options.board_mm);
  mend_mirrored_back(layout);
  const cv::Rect2d box =
      layout.outline.empty() ? layout_box(layout) : bounding_box(layout.outline.outer);
  map_points(layout, [&](cv::Point2d p) { return p - box.tl(); });
  if (layout.outline.empty())
    layout.source.remarks.emplace_back(
        "No outline is known: the frame is the box around the parts, so places are named by the "
        "grid only after an outline is given.");
  else
    layout.grid = grid_over(bounding_box(layout.outline.outer), layout.has_mm);
  try {
    check_layout(layout);
  } catch (const Error& e) {
    throw Error(e.kind(), fmt::format("{}: {} The file gives impossible values; export it again.",
                                      layout.source.file, e.what()));
  }
  return layout;
}

}  // namespace verdigrid
