#include "plan/work_region.h"

#include <algorithm>
#include <cmath>

#include "layout/edit.h"
#include "layout/layout.h"

namespace verdigrid {

namespace {

cv::Rect2d box_on_photo(const Survey& s, Ring ring_board) {
  for (cv::Point2d& p : ring_board) p = photo_point(s.rectification, p);
  return bounding_box(ring_board);
}

void add(std::optional<cv::Rect2d>& to, const std::optional<cv::Rect2d>& box) {
  if (!box) return;
  to = to ? (*to | *box) : *box;
}

std::optional<cv::Rect2d> square_px(const Survey& s, const std::string& name) {
  const auto square = square_named(s.zones.grid, name);
  if (!square) return std::nullopt;
  const cv::Rect2d q = square_rect(s.zones.grid, square->row, square->column);
  return box_on_photo(s, {q.tl(), {q.br().x, q.y}, q.br(), {q.x, q.br().y}});
}

// A zone, a square, or "B2 to D4".
std::optional<cv::Rect2d> area_px(const Survey& s, const Layout* layout, const std::string& name) {
  if (layout)
    for (const Zone& z : layout->zones)
      if (z.name == name) return box_on_photo(s, z.polygon.outer);
  const size_t to = name.find(" to ");
  if (to == std::string::npos) return square_px(s, name);
  std::optional<cv::Rect2d> box = square_px(s, name.substr(0, to));
  add(box, square_px(s, name.substr(to + 4)));
  return box;
}

std::optional<cv::Rect2d> part_px(const Survey& s, const Layout* layout,
                                  const std::string& designator) {
  if (!layout || designator.empty()) return std::nullopt;
  for (const Part& p : layout->parts)
    if (p.designator == designator)
      return box_on_photo(s, p.has_body() ? body_ring(p) : Ring{p.centre});
  return std::nullopt;
}

std::optional<cv::Point2d> pin_px(const Survey& s, const Layout& layout, const PinName& pin) {
  for (const Part& p : layout.parts) {
    if (p.designator != pin.designator) continue;
    for (const Joint& joint : p.joints)
      if (joint.pin == pin.pin) return photo_point(s.rectification, joint.centre);
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::array<cv::Point2d, 2>> pair_px(const Survey& s, const Layout& layout,
                                                  const NetPair& pair) {
  const auto from = pin_px(s, layout, pair.from), to = pin_px(s, layout, pair.to);
  if (!from || !to) return std::nullopt;
  return std::array{*from, *to};
}

std::optional<cv::Rect2d> work_region_px(const Survey& s, const Layout* layout, const WorkItem& w,
                                         const std::string& designator) {
  if (const auto part = part_px(s, layout, designator)) return part;
  std::optional<cv::Rect2d> box;
  // Merged items name several areas.
  for (size_t at = 0; at < w.place.size();) {
    const size_t end = std::min(w.place.find(", ", at), w.place.size());
    add(box, area_px(s, layout, w.place.substr(at, end - at)));
    at = end + 2;
  }
  if (box) return box;
  for (const Finding& f : s.findings.findings)
    if (std::find(w.findings.begin(), w.findings.end(), f.id) != w.findings.end())
      add(box, cv::Rect2d(f.box_px));
  return box;
}

cv::Rect work_crop_px(const Survey& s, const cv::Rect2d& region, double least_mm) {
  const cv::Size photo = s.photo_size_px;
  const double least = s.rectification.px_per_mm ? least_mm * s.rectification.px_per_mm->value
                                                 : std::max(photo.width, photo.height) / 12.0;
  const double wanted = std::max(1.5 * std::max(region.width, region.height), least);
  const int side =
      std::clamp(static_cast<int>(std::ceil(wanted)), 1, std::min(photo.width, photo.height));
  const cv::Point2d middle = (region.tl() + region.br()) / 2;
  const auto start = [side](double centre, int length) {
    return std::clamp(static_cast<int>(std::lround(centre - side / 2.0)), 0, length - side);
  };
  return {start(middle.x, photo.width), start(middle.y, photo.height), side, side};
}

}  // namespace verdigrid
