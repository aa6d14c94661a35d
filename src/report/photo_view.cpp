#include "report/photo_view.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

bool lies_on_its_side(const PhotoView& view) { return view.turn_deg == 90 || view.turn_deg == 270; }

}  // namespace

cv::Size PhotoView::shown_size() const {
  const auto scaled = [this](int side) {
    return std::max(1, static_cast<int>(std::lround(side * scale)));
  };
  const cv::Size size(scaled(crop_px.width), scaled(crop_px.height));
  return lies_on_its_side(*this) ? cv::Size(size.height, size.width) : size;
}

cv::Mat shown_picture(const cv::Mat& bgr, const PhotoView& view) {
  require((view.crop_px & cv::Rect({}, bgr.size())) == view.crop_px,
          "a shown part lies in its photo");
  const cv::Size turned = view.shown_size();
  const cv::Size size = lies_on_its_side(view) ? cv::Size(turned.height, turned.width) : turned;
  cv::Mat picture;
  if (size == view.crop_px.size())
    picture = bgr(view.crop_px).clone();
  else
    cv::resize(bgr(view.crop_px), picture, size, 0, 0,
               view.scale < 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  if (view.turn_deg == 90) cv::rotate(picture, picture, cv::ROTATE_90_CLOCKWISE);
  if (view.turn_deg == 180) cv::rotate(picture, picture, cv::ROTATE_180);
  if (view.turn_deg == 270) cv::rotate(picture, picture, cv::ROTATE_90_COUNTERCLOCKWISE);
  return picture;
}

cv::Point2d canvas_point(const PhotoView& view, cv::Point2d p_px) {
  // Borders of pixels lie at half numbers in the photo and at whole numbers on the canvas.
  const double x = (p_px.x + 0.5 - view.crop_px.x) * view.scale;
  const double y = (p_px.y + 0.5 - view.crop_px.y) * view.scale;
  const cv::Size shown = view.shown_size();
  const cv::Point2d origin(view.top_left);
  switch (view.turn_deg) {
    case 90:
      return origin + cv::Point2d(shown.width - y, x);
    case 180:
      return origin + cv::Point2d(shown.width - x, shown.height - y);
    case 270:
      return origin + cv::Point2d(y, shown.height - x);
    default:
      return origin + cv::Point2d(x, y);
  }
}

Ring on_canvas(const PhotoView& view, const Ring& ring_px) {
  Ring ring;
  ring.reserve(ring_px.size());
  for (const cv::Point2d& p : ring_px) ring.push_back(canvas_point(view, p));
  return ring;
}

Polygon on_canvas(const PhotoView& view, const Polygon& polygon_px) {
  Polygon polygon{on_canvas(view, polygon_px.outer), {}};
  for (const Ring& hole : polygon_px.holes) polygon.holes.push_back(on_canvas(view, hole));
  return polygon;
}

std::vector<Polygon> on_canvas(const PhotoView& view, const std::vector<Polygon>& polygons_px) {
  std::vector<Polygon> polygons;
  polygons.reserve(polygons_px.size());
  for (const Polygon& p : polygons_px) polygons.push_back(on_canvas(view, p));
  return polygons;
}

}  // namespace verdigrid
