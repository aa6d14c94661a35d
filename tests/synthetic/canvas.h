// The pictures while a board is being painted, in the frame in which the pictured side is seen
// (the back is mirrored at the end). Internal to the renderer; mm on the board, px of the pictures.
#pragma once

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

#include "synthetic/materials.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

struct Canvas {
  double px_per_mm = 1;
  cv::Point2d origin_mm;  // seen frame, of the top-left corner
  bool is_mirrored = false;
  double board_width_mm = 0;
  cv::Mat albedo;     // CV_16UC3
  cv::Mat finish;     // CV_8UC2
  cv::Mat height_mm;  // CV_32FC1
  cv::Mat labels;     // CV_8UC1
  cv::Mat copper;     // CV_8UC1 coverage of copper, mask or not
  cv::Mat traces;     // CV_8UC1 the same without pours

  cv::Point2d seen(cv::Point2d board_mm) const {
    return is_mirrored ? cv::Point2d{board_width_mm - board_mm.x, board_mm.y} : board_mm;
  }
  cv::Point2d px(cv::Point2d seen_mm) const {
    return (seen_mm - origin_mm) * px_per_mm - cv::Point2d{0.5, 0.5};
  }
  cv::Point2f seen_of_px(int x, int y) const {
    return {static_cast<float>(origin_mm.x + (x + 0.5) / px_per_mm),
            static_cast<float>(origin_mm.y + (y + 0.5) / px_per_mm)};
  }
  cv::Rect frame() const { return {0, 0, albedo.cols, albedo.rows}; }
  cv::Rect px_box(cv::Point2d seen_centre, double reach_mm) const {
    const cv::Point2d a = px(seen_centre - cv::Point2d{reach_mm, reach_mm}),
                      b = px(seen_centre + cv::Point2d{reach_mm, reach_mm});
    const cv::Point first{static_cast<int>(std::floor(a.x)), static_cast<int>(std::floor(a.y))};
    return cv::Rect(first, cv::Point{static_cast<int>(std::ceil(b.x)) + 1,
                                     static_cast<int>(std::ceil(b.y)) + 1}) &
           frame();
  }
};

inline float mixed_value(float a, float b, float t) { return a + (b - a) * t; }

// Lays a surface over pixel (x, y) with `cover` 0..1; the height stays.
inline void lay(Canvas& c, int x, int y, float cover, const Surface& s) {
  if (cover <= 0) return;
  cover = std::min(cover, 1.0f);
  auto& colour = c.albedo.at<cv::Vec3w>(y, x);
  for (int k = 0; k < 3; ++k)
    colour[k] = static_cast<ushort>(mixed_value(colour[k], s.bgr[k] * 65535.0f, cover) + 0.5f);
  auto& finish = c.finish.at<cv::Vec2b>(y, x);
  finish[0] = static_cast<uchar>(mixed_value(finish[0], s.gloss * 255.0f, cover) + 0.5f);
  finish[1] = static_cast<uchar>(mixed_value(finish[1], s.metal * 255.0f, cover) + 0.5f);
}

// Coverage of an edge at signed distance d_mm (negative inside).
inline float edge_cover(const Canvas& c, double d_mm) {
  return static_cast<float>(std::clamp(0.5 - d_mm * c.px_per_mm, 0.0, 1.0));
}

// A frame turned and moved on the seen board.
struct LocalFrame {
  cv::Point2d centre_mm;  // seen
  double cosine = 1, sine = 0;

  cv::Point2d seen(cv::Point2d p) const {
    return centre_mm + cv::Point2d(cosine * p.x + sine * p.y, -sine * p.x + cosine * p.y);
  }
  cv::Point2d local(cv::Point2d seen_mm) const {
    const cv::Point2d d = seen_mm - centre_mm;
    return {cosine * d.x - sine * d.y, sine * d.x + cosine * d.y};
  }
};

// Of a part: its own frame as seen on the pictured side.
LocalFrame frame_of(const Canvas& canvas, const PlacedPart& part);

// Calls f(x_px, y_px, local point) for each pixel within reach_mm of a local point.
template <class F>
void for_each_px(const Canvas& c, const LocalFrame& frame, cv::Point2d local_centre,
                 double reach_mm, F f) {
  const cv::Rect box = c.px_box(frame.seen(local_centre), reach_mm);
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x) {
      const cv::Point2f s = c.seen_of_px(x, y);
      f(x, y, frame.local({s.x, s.y}));
    }
}

double box_distance(cv::Point2d p, cv::Size2d half, double radius);
double segment_distance(cv::Point2d p, cv::Point2d a, cv::Point2d b);

// Coverage pictures (CV_8UC1, larger value wins), px of the picture.
void stroke(cv::Mat& coverage, cv::Point2d a_px, cv::Point2d b_px, double width_px);
void fill_box(cv::Mat& coverage, cv::Point2d centre_px, cv::Size2d size_px, double angle_deg,
              double radius_px);

}  // namespace verdigrid::synthetic
