#include "measure/polygon_rows.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace verdigrid {

namespace {

// By truncation, as 0 <= low: std::ceil is a function call for processors of any age.
int clamped_ceil(double v, int low, int high) {
  const double inside = std::clamp(v, static_cast<double>(low), static_cast<double>(high));
  const int whole = static_cast<int>(inside);
  return whole + (inside > whole);
}

// Calls visit(y, x) where the border crosses a row's line of pixel centres, rows first .. end - 1.
template <class Visit>
void visit_crossings(const Ring& ring, int first_row, int end_row, Visit visit) {
  if (ring.size() < 3) return;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    cv::Point2d a = ring[j], b = ring[i];
    if (a.y == b.y) continue;
    if (a.y > b.y) std::swap(a, b);
    const double slope = (b.x - a.x) / (b.y - a.y);
    // Half-open in y, so that a corner on a row counts once.
    const int last = clamped_ceil(b.y, first_row, end_row);
    for (int y = clamped_ceil(a.y, first_row, end_row); y < last; ++y)
      visit(y, a.x + (y - a.y) * slope);
  }
}

// The border of a convex shape crosses a row at two places or none: no list to sort.
struct TwoCrossings {
  double low = 0, high = 0;
  int count = 0;

  void add(double x) {
    low = count == 0 ? x : std::min(low, x);
    high = count == 0 ? x : std::max(high, x);
    ++count;
  }
};

struct Crossing {
  int row;
  double x;
};

cv::Rect2d whole_box(const Polygon& polygon) {
  if (polygon.holes.empty()) return bounding_box(polygon.outer);
  Ring all = polygon.outer;
  for (const Ring& hole : polygon.holes) all.insert(all.end(), hole.begin(), hole.end());
  return bounding_box(all);
}

void add_merged(std::span<PixelSpan> row, std::vector<PixelSpan>& to) {
  if (row.size() > 1)
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
  const cv::Rect2d box = whole_box(polygon_px);
  first_row_ = clamped_ceil(box.y, 0, photo_size_px.height);
  const int end = std::max(
      first_row_, clamped_ceil(std::nextafter(box.y + box.height, 1e300), 0, photo_size_px.height));
  starts_.reserve(static_cast<size_t>(end - first_row_) + 1);
  starts_.push_back(0);
  if (!add_convex(polygon_px, end, photo_size_px.width))
    add_any(polygon_px, end, photo_size_px.width);
  find_columns();
}

void PolygonRows::add_span(double first_x, double end_x, int width) {
  const PixelSpan span{clamped_ceil(first_x, 0, width), clamped_ceil(end_x, 0, width)};
  if (span.first < span.end) spans_.push_back(span);
}

void PolygonRows::end_row_here() { starts_.push_back(static_cast<std::uint32_t>(spans_.size())); }

void PolygonRows::find_columns() {
  if (spans_.empty()) return;
  columns_ = spans_.front();
  for (const PixelSpan& s : spans_)
    columns_ = {std::min(columns_.first, s.first), std::max(columns_.end, s.end)};
}

bool PolygonRows::add_convex(const Polygon& polygon_px, int end_row, int width) {
  if (!polygon_px.holes.empty()) return false;
  std::vector<TwoCrossings> rows(static_cast<size_t>(end_row - first_row_));
  visit_crossings(polygon_px.outer, first_row_, end_row,
                  [&](int y, double x) { rows[static_cast<size_t>(y - first_row_)].add(x); });
  const auto is_more = [](const TwoCrossings& row) { return row.count > 2; };
  if (std::any_of(rows.begin(), rows.end(), is_more)) return false;
  spans_.reserve(rows.size());
  for (const TwoCrossings& row : rows) {
    if (row.count == 2) add_span(row.low, row.high, width);
    end_row_here();
  }
  return true;
}

void PolygonRows::add_any(const Polygon& polygon_px, int end_row, int width) {
  std::vector<Crossing> crossings;
  const auto keep = [&](int y, double x) { crossings.push_back({y, x}); };
  visit_crossings(polygon_px.outer, first_row_, end_row, keep);
  for (const Ring& hole : polygon_px.holes) visit_crossings(hole, first_row_, end_row, keep);
  std::sort(crossings.begin(), crossings.end(), [](const Crossing& a, const Crossing& b) {
    return a.row != b.row ? a.row < b.row : a.x < b.x;
  });
  auto at = crossings.begin();
  for (int y = first_row_; y < end_row; ++y) {
    // A ring crosses a row an even number of times.
    for (; at != crossings.end() && at->row == y; at += 2) add_span(at->x, (at + 1)->x, width);
    end_row_here();
  }
}

bool PolygonRows::contains(int x_px, int y_px) const {
  for (const PixelSpan& s : row(y_px))
    if (x_px >= s.first && x_px < s.end) return true;
  return false;
}

PolygonRows united(const std::vector<const PolygonRows*>& all) {
  if (all.size() == 1) return *all.front();
  PolygonRows result;
  int first = std::numeric_limits<int>::max(), end = 0;
  size_t spans = 0;
  for (const PolygonRows* p : all) {
    if (p->empty()) continue;
    first = std::min(first, p->first_row());
    end = std::max(end, p->end_row());
    spans += p->spans_.size();
  }
  if (first >= end) return result;
  // Every row's spans side by side, each shape's behind those of the shapes before it.
  std::vector<size_t> ends(static_cast<size_t>(end - first) + 1, 0);
  const auto for_each_row = [&](auto visit) {
    for (const PolygonRows* p : all)
      for (int y = p->first_row(); y < p->end_row(); ++y)
        if (const auto row = p->row(y); !row.empty()) visit(static_cast<size_t>(y - first), row);
  };
  for_each_row([&](size_t y, std::span<const PixelSpan> row) { ends[y + 1] += row.size(); });
  std::partial_sum(ends.begin(), ends.end(), ends.begin());
  std::vector<PixelSpan> of_row(spans);
  std::vector<size_t> next = ends;
  for_each_row([&](size_t y, std::span<const PixelSpan> row) {
    std::copy(row.begin(), row.end(), of_row.begin() + static_cast<std::ptrdiff_t>(next[y]));
    next[y] += row.size();
  });
  result.first_row_ = first;
  result.starts_.reserve(ends.size());
  result.starts_.push_back(0);
  for (size_t y = 0; y + 1 < ends.size(); ++y) {
    add_merged(std::span(of_row).subspan(ends[y], ends[y + 1] - ends[y]), result.spans_);
    result.end_row_here();
  }
  result.find_columns();
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
    result.end_row_here();
  }
  result.find_columns();
  return result;
}

}  // namespace verdigrid
