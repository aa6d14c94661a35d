// Plane geometry on cv::Point2d: polygons with holes, areas, clipping, homographies.
//
// Polygons are closed, the outer ring runs clockwise as seen (y down), the first point is not
// repeated, holes are even-odd. Units are those of the points (px or mm: the caller's name says
// which). Pixel (0,0) has its centre at (0,0).
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace verdigrid {

using Ring = std::vector<cv::Point2d>;

struct Polygon {
  Ring outer;
  std::vector<Ring> holes;
  bool empty() const { return outer.size() < 3; }
  bool operator==(const Polygon&) const = default;
};

// Signed shoelace area, positive for a ring that runs clockwise as seen with y down.
double signed_area(const Ring& ring);

// Area of the outer ring less the holes; 0 for an empty polygon.
double area(const Polygon& polygon);

// Even-odd; points on an edge count as inside.
bool contains(const Polygon& polygon, cv::Point2d p);

// The same ring running clockwise as seen (y down).
Ring clockwise(Ring ring);

// Axis-parallel box of all points; empty rectangle for no points.
cv::Rect2d bounding_box(const Ring& ring);

// Part of `ring` inside the rectangle (Sutherland, Hodgman, "Reentrant polygon clipping", CACM
// 17(1), 1974). May touch itself where a concave ring is cut in two; the area is right all the
// same. Empty when nothing is inside.
Ring clipped(const Ring& ring, const cv::Rect2d& box);
Polygon clipped(const Polygon& polygon, const cv::Rect2d& box);

// Applies the homography `to_from` to a point; the point must not map to infinity (require).
cv::Point2d mapped(const cv::Matx33d& to_from, cv::Point2d p);
Ring mapped(const cv::Matx33d& to_from, const Ring& ring);
Polygon mapped(const cv::Matx33d& to_from, const Polygon& polygon);

// |det J| of the homography at p: how many square target units one square source unit covers there.
double local_area_scale(const cv::Matx33d& to_from, cv::Point2d p);

// Exact homography that takes four points to four points, no three on one line. Empty when they are
// degenerate.
std::optional<cv::Matx33d> homography_from_quad(const std::vector<cv::Point2d>& from,
                                                const std::vector<cv::Point2d>& to);

}  // namespace verdigrid
