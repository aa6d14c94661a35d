// A polygon as spans of pixels, photo row by photo row: exactly those pixels whose centre lies
// inside (even-odd, holes too).
//
// The polygon is in photo px and may reach beyond the photo. Immutable: read from any thread.
#pragma once

#include <algorithm>
#include <cstdint>
#include <opencv2/core.hpp>
#include <span>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

struct PixelSpan {
  int first = 0, end = 0;  // columns first .. end - 1
};

class PolygonRows {
 public:
  PolygonRows() = default;  // no pixels
  PolygonRows(const Polygon& polygon_px, cv::Size photo_size_px);

  int first_row() const { return first_row_; }  // first and past-last row that may hold a span
  int end_row() const { return first_row_ + std::max(0, static_cast<int>(starts_.size()) - 1); }
  std::span<const PixelSpan> row(int y_px) const;  // left to right; empty outside
  bool contains(int x_px, int y_px) const;
  bool empty() const { return spans_.empty(); }
  PixelSpan columns() const { return columns_; }  // the least that holds every span

  friend PolygonRows united(const std::vector<const PolygonRows*>& all);  // pixels of any of them
  friend PolygonRows intersected(const PolygonRows& a, const PolygonRows& b);

 private:
  void add_span(double first_x, double end_x, int width);
  // False, and nothing added, for a shape that crosses a row more than twice.
  bool add_convex(const Polygon& polygon_px, int end_row, int width);
  void add_any(const Polygon& polygon_px, int end_row, int width);
  void end_row_here();
  void find_columns();

  int first_row_ = 0;
  PixelSpan columns_;
  std::vector<std::uint32_t> starts_;  // of each row's spans, and one past the last
  std::vector<PixelSpan> spans_;
};

PolygonRows united(const std::vector<const PolygonRows*>& all);
PolygonRows intersected(const PolygonRows& a, const PolygonRows& b);

inline std::span<const PixelSpan> PolygonRows::row(int y_px) const {
  if (y_px < first_row_ || y_px >= end_row()) return {};
  const auto i = static_cast<size_t>(y_px - first_row_);
  return std::span(spans_).subspan(starts_[i], starts_[i + 1] - starts_[i]);
}

}  // namespace verdigrid
