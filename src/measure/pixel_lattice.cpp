#include "measure/pixel_lattice.h"

#include <algorithm>
#include <opencv2/core/utility.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

// Smaller where the photo is small (its picture bends more per pixel), and smaller under a lens.
int step_for(const Rectification& r) {
  const int side = std::max(r.photo_size_px.width, r.photo_size_px.height);
  return r.lens ? std::clamp(side / 250, 8, 24) : std::clamp(side / 100, 16, 32);
}

double between(double a, double b, double t) { return a + (b - a) * t; }

}  // namespace

PixelLattice::PixelLattice(const Rectification& rectification)
    : step_(step_for(rectification)),
      columns_((rectification.photo_size_px.width - 1) / step_ + 2),
      rows_((rectification.photo_size_px.height - 1) / step_ + 2) {
  require(rectification.photo_size_px.area() > 0, "a lattice needs a photo of positive size");
  nodes_.resize(static_cast<size_t>(columns_) * static_cast<size_t>(rows_));
  cv::parallel_for_(cv::Range(0, rows_), [&](const cv::Range& range) {
    for (int j = range.start; j < range.end; ++j) {
      std::vector<cv::Point2d> points;
      for (int i = 0; i < columns_; ++i) points.emplace_back(i * step_, j * step_);
      const std::vector<BoardPixel> row = board_pixels(rectification, points);
      std::copy(row.begin(), row.end(), nodes_.begin() + static_cast<std::ptrdiff_t>(j) * columns_);
    }
  });
  area_left_.reserve(nodes_.size());
  for (int j = 0; j < rows_; ++j) {
    double left = 0;
    for (int i = 0; i < columns_; ++i) {
      area_left_.push_back(left);
      const BoardPixel* node = node_row(j) + i;
      if (i + 1 < columns_)
        left += step_ * node[0].area + (node[1].area - node[0].area) * (step_ - 1) / 2;
    }
  }
}

PixelLattice::Row PixelLattice::row(double y_px) const {
  const int j = std::clamp(static_cast<int>(y_px) / step_, 0, rows_ - 2);
  const double t = (y_px - j * step_) / step_;
  const BoardPixel *above = node_row(j), *below = node_row(j + 1);
  const auto n = static_cast<size_t>(columns_);
  Row row{std::vector<double>(n), std::vector<double>(n), std::vector<double>(n)};
  for (size_t i = 0; i < n; ++i) {
    row.x[i] = between(above[i].p_board.x, below[i].p_board.x, t);
    row.y[i] = between(above[i].p_board.y, below[i].p_board.y, t);
    row.area[i] = between(above[i].area, below[i].area, t);
  }
  return row;
}

BoardPixel PixelLattice::at(cv::Point2d p_px) const {
  const int i = std::clamp(static_cast<int>(p_px.x) / step_, 0, columns_ - 2);
  const int j = std::clamp(static_cast<int>(p_px.y) / step_, 0, rows_ - 2);
  const double u = (p_px.x - i * step_) / step_, v = (p_px.y - j * step_) / step_;
  const BoardPixel* n = node_row(j) + i;
  const auto mixed = [&](auto get) {
    return between(between(get(n[0]), get(n[1]), u),
                   between(get(n[columns_]), get(n[columns_ + 1]), u), v);
  };
  return {{mixed([](const BoardPixel& b) { return b.p_board.x; }),
           mixed([](const BoardPixel& b) { return b.p_board.y; })},
          mixed([](const BoardPixel& b) { return b.area; })};
}

double PixelLattice::area_left_of(int x, int node_row, double t) const {
  const int i = std::min(x / step_, columns_ - 2);
  const double n = x - i * step_;
  const double in_steps = n * (n - 1) / (2 * step_);
  const auto left = [&](int row) {
    const BoardPixel* node = this->node_row(row) + i;
    return area_left_[static_cast<size_t>(row * columns_ + i)] + n * node[0].area +
           in_steps * (node[1].area - node[0].area);
  };
  return between(left(node_row), left(node_row + 1), t);
}

double PixelLattice::area(const PolygonRows& rows) const {
  double sum = 0;
  for (int y = rows.first_row(); y < rows.end_row(); ++y) {
    const int j = std::min(y / step_, rows_ - 2);
    const double t = static_cast<double>(y - j * step_) / step_;
    for (const PixelSpan& s : rows.row(y))
      sum += area_left_of(s.end, j, t) - area_left_of(s.first, j, t);
  }
  return sum;
}

}  // namespace verdigrid
