#include "measure/polygon_rows.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace verdigrid {

namespace {

struct Crossing {
  int row;
  double x;  // where the border crosses it
};

int clamped_ceil(double v, int low, int high) {
  return static_cast<int>(
      std::clamp(std::ceil(v), static_cast<double>(low), static_cast<double>(high)));
}

void add_ring(const Ring& ring, int first_row, int end_row, std::vector<Crossing>& crossings) {
  if (ring.size() < 3) return;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    cv::Point2d a = ring[j], b = ring[i];
    if (a.y == b.y) continue;
    if (a.y > b.y) std::swap(a, b);
    const double slope = (b.x - a.x) / (b.y - a.y);
    // Half-open in y, so that a corner on a row counts once.
    const int last = clamped_ceil(b.y, first_row, end_row);
    for (int y = clamped_ceil(a.y, first_row, end_row); y < last; ++y)
      crossings.push_back({y, a.x + (y - a.y) * slope});
  }
}

void add_merged(std::vector<PixelSpan>& row, std::vector<PixelSpan>& to) {
  std::sort(row.begin(), row.end(),
            [](const PixelSpan& a, const PixelSpan& b) { return a.first < b.first; });
  const size_t before = to.size();
  for (const PixelSpan& s : row) {
    if (to.size() > before && s.first <= to.back().end)
      to.back().end = std::max(to.back().end, s.end);
    else
      to.push_back(s);
  }
}

}  // namespace

PolygonRows::PolygonRows(const Polygon& polygon_px, cv::Size photo_size_px) {
  Ring all = polygon_px.outer;
  for (const Ring& hole : polygon_px.holes) all.insert(all.end(), hole.begin(), hole.end());
  const cv::Rect2d box = bounding_box(all);
  first_row_ = clamped_ceil(box.y, 0, photo_size_px.height);
  const int end = std::max(
      first_row_, clamped_ceil(std::nextafter(box.y + box.height, 1e300), 0, photo_size_px.height));
  std::vector<Crossing> crossings;
  crossings.reserve(2 * static_cast<size_t>(end - first_row_));
  add_ring(polygon_px.outer, first_row_, end, crossings);
  for (const Ring& hole : polygon_px.holes) add_ring(hole, first_row_, end, crossings);
  std::sort(crossings.begin(), crossings.end(), [](const Crossing& a, const Crossing& b) {
    return a.row != b.row ? a.row < b.row : a.x < b.x;
  });
  starts_.reserve(static_cast<size_t>(end - first_row_) + 1);
  spans_.reserve(crossings.size() / 2);
  starts_.push_back(0);
  auto at = crossings.begin();
  for (int y = first_row_; y < end; ++y) {
    // A ring crosses a row an even number of times.
    for (; at != crossings.end() && at->row == y; at += 2) {
      const PixelSpan span{clamped_ceil(at->x, 0, photo_size_px.width),
                           clamped_ceil((at + 1)->x, 0, photo_size_px.width)};
      if (span.first < span.end) spans_.push_back(span);
    }
    starts_.push_back(spans_.size());
  }
}

std::span<const PixelSpan> PolygonRows::row(int y_px) const {
  if (y_px < first_row_ || y_px >= end_row()) return {};
  const auto i = static_cast<size_t>(y_px - first_row_);
  return std::span(spans_).subspan(starts_[i], starts_[i + 1] - starts_[i]);
}

bool PolygonRows::contains(int x_px, int y_px) const {
  for (const PixelSpan& s : row(y_px))
    if (x_px >= s.first && x_px < s.end) return true;
  return false;
}

PolygonRows united(const std::vector<PolygonRows>& all) {
  PolygonRows result;
  int first = std::numeric_limits<int>::max(), end = 0;
  for (const PolygonRows& p : all) {
    if (p.empty()) continue;
    first = std::min(first, p.first_row());
    end = std::max(end, p.end_row());
  }
  if (first >= end) return result;
  result.first_row_ = first;
  result.starts_.push_back(0);
  std::vector<PixelSpan> row;
  for (int y = first; y < end; ++y) {
    row.clear();
    for (const PolygonRows& p : all) row.insert(row.end(), p.row(y).begin(), p.row(y).end());
    add_merged(row, result.spans_);
    result.starts_.push_back(result.spans_.size());
  }
  return result;
}

PolygonRows intersected(const PolygonRows& a, const PolygonRows& b) {
  PolygonRows result;
  const int first = std::max(a.first_row(), b.first_row());
  const int end = std::min(a.end_row(), b.end_row());
  if (first >= end) return result;
  result.first_row_ = first;
  result.starts_.push_back(0);
  for (int y = first; y < end; ++y) {
    for (const PixelSpan& s : a.row(y))
      for (const PixelSpan& t : b.row(y)) {
        const PixelSpan both{std::max(s.first, t.first), std::min(s.end, t.end)};
        if (both.first < both.end) result.spans_.push_back(both);
      }
    result.starts_.push_back(result.spans_.size());
  }
  return result;
}

}  // namespace verdigrid
