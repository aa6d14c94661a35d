#include "base/geometry.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

bool ring_contains(const Ring& ring, cv::Point2d p, bool& on_edge) {
  bool inside = false;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const cv::Point2d a = ring[j], b = ring[i];
    const double cross = (b - a).cross(p - a);
    if (cross == 0 && (p - a).dot(p - b) <= 0) on_edge = true;
    if ((a.y > p.y) != (b.y > p.y)) {
      const double x = a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
      if (p.x < x) inside = !inside;
    }
  }
  return inside;
}

// Keeps the side where distance(p) >= 0.
template <class Distance>
Ring clipped_by(const Ring& ring, Distance distance) {
  Ring kept;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const double dj = distance(ring[j]), di = distance(ring[i]);
    if ((dj < 0) != (di < 0)) kept.push_back(ring[j] + (ring[i] - ring[j]) * (dj / (dj - di)));
    if (di >= 0) kept.push_back(ring[i]);
  }
  return kept;
}

}  // namespace

double signed_area(const Ring& ring) {
  double twice = 0;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) twice += ring[j].cross(ring[i]);
  return twice / 2;
}

double area(const Polygon& polygon) {
  if (polygon.empty()) return 0;
  double sum = std::abs(signed_area(polygon.outer));
  for (const Ring& hole : polygon.holes) sum -= std::abs(signed_area(hole));
  return sum;
}

bool contains(const Polygon& polygon, cv::Point2d p) {
  if (polygon.empty()) return false;
  bool on_edge = false;
  bool inside = ring_contains(polygon.outer, p, on_edge);
  for (const Ring& hole : polygon.holes) inside ^= ring_contains(hole, p, on_edge);
  return inside || on_edge;
}

Ring clockwise(Ring ring) {
  if (signed_area(ring) < 0) std::reverse(ring.begin(), ring.end());
  return ring;
}

cv::Rect2d bounding_box(const Ring& ring) {
  if (ring.empty()) return {};
  cv::Point2d low = ring[0], high = ring[0];
  for (const cv::Point2d p : ring) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  return {low.x, low.y, high.x - low.x, high.y - low.y};
}

Ring clipped(const Ring& ring, const cv::Rect2d& box) {
  if (ring.size() < 3) return {};
  const cv::Rect2d all = bounding_box(ring);
  if (all.x >= box.x && all.y >= box.y && all.br().x <= box.br().x && all.br().y <= box.br().y)
    return ring;
  Ring r = clipped_by(ring, [&](cv::Point2d p) { return p.x - box.x; });
  r = r.empty() ? r : clipped_by(r, [&](cv::Point2d p) { return box.x + box.width - p.x; });
  r = r.empty() ? r : clipped_by(r, [&](cv::Point2d p) { return p.y - box.y; });
  return r.empty() ? r : clipped_by(r, [&](cv::Point2d p) { return box.y + box.height - p.y; });
}

Polygon clipped(const Polygon& polygon, const cv::Rect2d& box) {
  Polygon result{clipped(polygon.outer, box), {}};
  if (result.empty()) return {};
  for (const Ring& hole : polygon.holes) {
    Ring part = clipped(hole, box);
    if (part.size() >= 3) result.holes.push_back(std::move(part));
  }
  return result;
}

cv::Point2d mapped(const cv::Matx33d& to_from, cv::Point2d p) {
  const cv::Vec3d q = to_from * cv::Vec3d(p.x, p.y, 1);
  require(q[2] != 0, "a homography was applied to a point on its horizon");
  return {q[0] / q[2], q[1] / q[2]};
}

Ring mapped(const cv::Matx33d& to_from, const Ring& ring) {
  Ring result;
  result.reserve(ring.size());
  for (const cv::Point2d p : ring) result.push_back(mapped(to_from, p));
  return result;
}

Polygon mapped(const cv::Matx33d& to_from, const Polygon& polygon) {
  Polygon result{mapped(to_from, polygon.outer), {}};
  for (const Ring& hole : polygon.holes) result.holes.push_back(mapped(to_from, hole));
  return result;
}

double local_area_scale(const cv::Matx33d& to_from, cv::Point2d p) {
  // For x' = (H p) / w the Jacobian determinant is det(H) / w^3.
  const double w = to_from(2, 0) * p.x + to_from(2, 1) * p.y + to_from(2, 2);
  require(w != 0, "a homography has no scale on its horizon");
  return std::abs(cv::determinant(to_from) / (w * w * w));
}

std::optional<cv::Matx33d> homography_from_quad(const std::vector<cv::Point2d>& from,
                                                const std::vector<cv::Point2d>& to) {
  require(from.size() == 4 && to.size() == 4, "a quad has four points");
  cv::Matx<double, 8, 8> a = cv::Matx<double, 8, 8>::zeros();
  cv::Matx<double, 8, 1> b;
  for (int i = 0; i < 4; ++i) {
    const cv::Point2d p = from[static_cast<size_t>(i)], q = to[static_cast<size_t>(i)];
    const double rows[2][8] = {{p.x, p.y, 1, 0, 0, 0, -p.x * q.x, -p.y * q.x},
                               {0, 0, 0, p.x, p.y, 1, -p.x * q.y, -p.y * q.y}};
    for (int r = 0; r < 2; ++r) {
      for (int c = 0; c < 8; ++c) a(2 * i + r, c) = rows[r][c];
      b(2 * i + r) = r == 0 ? q.x : q.y;
    }
  }
  cv::Mat h;
  if (!cv::solve(a, b, h, cv::DECOMP_LU)) return std::nullopt;
  cv::Matx33d result;
  for (int i = 0; i < 8; ++i) result.val[i] = h.at<double>(i);
  result.val[8] = 1;
  return result;
}

}  // namespace verdigrid
