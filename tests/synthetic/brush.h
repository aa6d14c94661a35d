// Solid shapes in a part's own frame, painted with colour and height. Internal to the renderer.
#pragma once

#include <string_view>

#include "synthetic/canvas.h"

namespace verdigrid::synthetic {

class Brush {
 public:
  Brush(Canvas& canvas, const LocalFrame& frame, double height_scale = 1)
      : c_(canvas), f_(frame), height_scale_(height_scale) {}

  // Paints where distance(p) < 0; height_of(p) above the board, mm; takes away the label below.
  template <class Distance, class Height, class Shade>
  void solid(cv::Point2d centre, double reach, Distance distance, Height height_of, Shade shade) {
    for_each_px(c_, f_, centre, reach + 1.5 / c_.px_per_mm, [&](int x, int y, cv::Point2d p) {
      const float cover = edge_cover(c_, distance(p));
      if (cover <= 0) return;
      lay(c_, x, y, cover, shade(p));
      if (cover <= 0.5f) return;
      c_.height_mm.at<float>(y, x) = static_cast<float>(height_of(p) * height_scale_);
      c_.labels.at<uchar>(y, x) = 0;
    });
  }

  // `bevel` mm: the top runs down that far inside the edge.
  void box(cv::Point2d centre, cv::Size2d size, double radius, const Surface& s, double height,
           double bevel = 0.15);
  void disc(cv::Point2d centre, double radius, const Surface& s, double height, double bevel = 0.2);
  // Cylinder lying on the board, its axis from a to b.
  void lying(cv::Point2d a, cv::Point2d b, double radius, const Surface& s, double axis_height);
  void wire(cv::Point2d a, cv::Point2d b, double width, const Surface& s, double height);
  // Colour only: the height stays.
  void mark_box(cv::Point2d centre, cv::Size2d size, const Surface& s, double strength = 1);
  void mark_text(std::string_view text, cv::Point2d centre, double height, const Surface& s,
                 double strength = 1, double turn_deg = 0);

  Canvas& canvas() { return c_; }
  const LocalFrame& frame() const { return f_; }

 private:
  Canvas& c_;
  LocalFrame f_;
  double height_scale_;
};

}  // namespace verdigrid::synthetic
