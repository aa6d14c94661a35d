// Where photo pixels lie on the board and how large each is, kept on a coarse lattice and read back
// by linear steps: no homography and no lens model per pixel.
//
// Nodes lie every `step` px from pixel (0,0) on, one row and column past the photo. Units: board
// units and board units squared per pixel. Error against the exact model, by the second derivative:
// step^2 / 8 times it; tests/measure/pixel_lattice_test.cpp holds it below 0.1 px and 0.05 % of
// area for a phone's lens and 15 degrees of tilt. Immutable: read from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "measure/polygon_rows.h"
#include "rectify/rectification.h"

namespace verdigrid {

class PixelLattice {
 public:
  explicit PixelLattice(const Rectification& rectification);

  // One photo row's values at the nodes: x, y, area, `columns()` of each.
  struct Row {
    std::vector<double> x, y, area;
  };

  int step() const { return step_; }
  int columns() const { return columns_; }
  Row row(double y_px) const;
  BoardPixel at(cv::Point2d p_px) const;       // inside the photo
  double area(const PolygonRows& rows) const;  // of these pixels, board units squared

 private:
  const BoardPixel* node_row(int j) const {
    return nodes_.data() + static_cast<std::ptrdiff_t>(j) * columns_;
  }
  // Of the pixels left of column x, `t` of the way from one row of nodes to the next.
  double area_left_of(int x, int node_row, double t) const;

  int step_, columns_, rows_;
  std::vector<BoardPixel> nodes_;
  std::vector<double> area_left_;  // of the pixels left of every node
};

}  // namespace verdigrid
