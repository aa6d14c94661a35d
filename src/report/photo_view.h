// How a photo is shown on a canvas: turned as the board reads, and at one scale.
//
// Units: photo px (as decoded, pixel centres at whole numbers) and canvas px (canvas.h). A value.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

struct PhotoView {
  cv::Rect crop_px;    // part of the photo that is shown, photo px
  int turn_deg = 0;    // 0, 90, 180, 270: clockwise
  double scale = 1;    // canvas px per photo px
  cv::Point top_left;  // of the shown picture on the canvas

  cv::Size shown_size() const;  // canvas px
  cv::Rect shown_box() const { return {top_left, shown_size()}; }
};

// `bgr` CV_8UC3: the pixels of the view, turned and resampled (area mean when smaller, cubic when
// larger), of shown_size().
cv::Mat shown_picture(const cv::Mat& bgr, const PhotoView& view);

cv::Point2d canvas_point(const PhotoView& view, cv::Point2d p_px);
Ring on_canvas(const PhotoView& view, const Ring& ring_px);
Polygon on_canvas(const PhotoView& view, const Polygon& polygon_px);
std::vector<Polygon> on_canvas(const PhotoView& view, const std::vector<Polygon>& polygons_px);

}  // namespace verdigrid
