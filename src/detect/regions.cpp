#include "detect/regions.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/error.h"

namespace verdigrid {
namespace {

// Directions clockwise as seen with y down: right, down, left, up. Edges run with the inside on
// their right-hand side.
const std::array<cv::Point, 4> k_step{cv::Point(1, 0), cv::Point(0, 1), cv::Point(-1, 0),
                                      cv::Point(0, -1)};

class EdgeMap {
 public:
  explicit EdgeMap(const cv::Mat& on) : edges_(on.rows + 1, on.cols + 1, CV_8UC1, cv::Scalar(0)) {
    const auto set = [&](int x, int y) {
      return x >= 0 && y >= 0 && x < on.cols && y < on.rows && on.at<uchar>(y, x) != 0;
    };
    for (int y = 0; y < on.rows; ++y)
      for (int x = 0; x < on.cols; ++x) {
        if (!set(x, y)) continue;
        if (!set(x, y - 1)) add({x, y}, 0);
        if (!set(x + 1, y)) add({x + 1, y}, 1);
        if (!set(x, y + 1)) add({x + 1, y + 1}, 2);
        if (!set(x - 1, y)) add({x, y + 1}, 3);
      }
  }

  int first_at(cv::Point corner) const {
    for (int d = 0; d < 4; ++d)
      if (has(corner, d)) return d;
    return -1;
  }

  // Follows one loop and takes its edges away. At a corner where two pixels touch diagonally the
  // sharpest right turn keeps to the same pixel.
  Ring take_loop(cv::Point start, int direction) {
    Ring ring;
    cv::Point at = start;
    int d = direction, before = -1;
    for (;;) {
      if (d != before) ring.emplace_back(at.x, at.y);
      edges_.at<uchar>(at.y, at.x) &= static_cast<uchar>(~(1 << d));
      at += k_step[static_cast<std::size_t>(d)];
      before = d;
      for (const int turn : {1, 0, 3}) {
        d = (before + turn) % 4;
        if (has(at, d) || (at == start && d == direction)) break;
      }
      if (at == start && d == direction) break;
    }
    if (before == direction) ring.erase(ring.begin());
    return ring;
  }

  cv::Size size() const { return edges_.size(); }

 private:
  void add(cv::Point corner, int d) {
    edges_.at<uchar>(corner.y, corner.x) |= static_cast<uchar>(1 << d);
  }
  bool has(cv::Point corner, int d) const {
    return (edges_.at<uchar>(corner.y, corner.x) >> d & 1) != 0;
  }

  cv::Mat edges_;  // bit d: an edge leaves this corner in direction d
};

void give_holes(std::vector<Polygon>& polygons, std::vector<Ring> holes) {
  for (auto& hole : holes) {
    // The smallest outer ring around it; half a px inside a hole's first corner is inside the ring.
    Polygon* owner = nullptr;
    for (auto& p : polygons) {
      const cv::Rect2d box = bounding_box(p.outer), inner = bounding_box(hole);
      if ((box & inner) != inner || !contains(Polygon{p.outer, {}}, hole.front())) continue;
      if (owner == nullptr || std::abs(signed_area(p.outer)) < std::abs(signed_area(owner->outer)))
        owner = &p;
    }
    require(owner != nullptr, "a hole lies in an outer ring");
    owner->holes.push_back(std::move(hole));
  }
}

// Where the ring crosses each row of cell centres.
template <class ToCell>
void add_crossings(const Ring& ring, ToCell to_cell, std::vector<std::vector<double>>& crossings) {
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const double xa = to_cell(ring[j].x), ya = to_cell(ring[j].y);
    const double xb = to_cell(ring[i].x), yb = to_cell(ring[i].y);
    const double low = std::min(ya, yb), high = std::max(ya, yb);
    const int first = std::max(0, static_cast<int>(std::ceil(low)));
    const int end = std::min(static_cast<int>(crossings.size()), static_cast<int>(std::ceil(high)));
    for (int y = first; y < end; ++y)
      crossings[static_cast<std::size_t>(y)].push_back(xa + (y - ya) / (yb - ya) * (xb - xa));
  }
}

}  // namespace

std::vector<Polygon> border_polygons(const cv::Mat& on, cv::Point origin) {
  require(on.empty() || on.type() == CV_8UC1, "regions come from an 8-bit picture");
  std::vector<Polygon> polygons;
  std::vector<Ring> holes;
  if (on.empty()) return polygons;
  EdgeMap edges(on);
  const cv::Point2d shift(origin.x - 0.5, origin.y - 0.5);
  for (int y = 0; y < edges.size().height; ++y)
    for (int x = 0; x < edges.size().width; ++x)
      for (int d = edges.first_at({x, y}); d >= 0; d = edges.first_at({x, y})) {
        Ring ring = edges.take_loop({x, y}, d);
        for (auto& p : ring) p += shift;
        if (signed_area(ring) > 0)
          polygons.push_back({std::move(ring), {}});
        else
          holes.push_back(std::move(ring));
      }
  give_holes(polygons, std::move(holes));
  return polygons;
}

cv::Mat picture_of(const std::vector<Polygon>& polygons, cv::Size size, int cell_px) {
  require(cell_px >= 1, "a cell has at least one px");
  cv::Mat picture(size, CV_8UC1, cv::Scalar(0));
  const auto to_cell = [&](double v) { return (v + 0.5) / cell_px - 0.5; };
  for (const auto& polygon : polygons) {
    std::vector<std::vector<double>> crossings(static_cast<std::size_t>(size.height));
    add_crossings(polygon.outer, to_cell, crossings);
    for (const auto& hole : polygon.holes) add_crossings(hole, to_cell, crossings);
    for (int y = 0; y < size.height; ++y) {
      auto& xs = crossings[static_cast<std::size_t>(y)];
      std::sort(xs.begin(), xs.end());
      for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
        const int from = std::max(0, static_cast<int>(std::ceil(xs[i])));
        const int to = std::min(size.width - 1, static_cast<int>(std::floor(xs[i + 1])));
        if (from <= to) picture.row(y).colRange(from, to + 1).setTo(255);
      }
    }
  }
  return picture;
}

}  // namespace verdigrid
