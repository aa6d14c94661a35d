#include "measure/layout_regions.h"

#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/core/utility.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_arc_step = std::numbers::pi / 8;
constexpr int k_circle_points = 16;

void check_units(const Layout& layout, const Rectification& r) {
  if (layout.has_mm == r.has_scale()) return;
  throw Error(ErrorKind::wrong_use,
              layout.has_mm
                  ? "The layout is in mm, but this photo has no scale. Give the board's size, a "
                    "scale card or two points and their distance."
                  : "The layout is without a scale, but this photo has one. Give the layout the "
                    "board's size first.");
}

double creep(const Rectification& r, const ReachOptions& options) {
  if (r.has_scale()) return options.creep_mm;
  const cv::Rect2d box = bounding_box(measured_outline(r).outer);
  return options.creep_of_diagonal * std::hypot(box.width, box.height);
}

PolygonRows united_with(const PolygonRows& one, const std::vector<PolygonRows>& others) {
  std::vector<const PolygonRows*> all{&one};
  for (const PolygonRows& other : others) all.push_back(&other);
  return united(all);
}

// What one part shows on this side.
class PartShapes {
 public:
  PartShapes(const Rectification& r, const PhotoShapes& shapes, const LabelBlocks& blocks,
             const ReachOptions& options)
      : r_(r), shapes_(shapes), blocks_(blocks), options_(options), creep_(creep(r, options)) {}

  PartRegion region(size_t index, const Part& part) const {
    PartRegion region{index, {}, {}, {}, {}, 0};
    const bool shows_body = part.side == r_.side && part.has_body();
    const Ring body = shows_body ? body_ring(part) : Ring{};
    region.body = rows(body);
    std::vector<PolygonRows> lands;
    lands.reserve(part.joints.size());
    for (const Joint& joint : part.joints) {
      const double diameter = land(joint);
      if (diameter <= 0 || !(joint.is_through || part.side == r_.side)) continue;
      lands.push_back(rows(circle(joint.centre, diameter)));
      const Ring grown_land = circle(joint.centre, diameter + 2 * creep_);
      region.joints_shown += !lands.back().empty() || !rows(grown_land).empty();
      if (PolygonRows reached = rows_near_labels(grown_land); !reached.empty())
        region.joints.push_back(std::move(reached));
    }
    region.touch = united_with(region.body, lands);
    region.near = united_with(rows_near_labels(grown(body, creep_)), region.joints);
    return region;
  }

 private:
  double land(const Joint& joint) const {
    if (joint.diameter > 0) return joint.diameter;
    return r_.has_scale() ? options_.land_mm : 0;
  }
  PolygonRows rows(Ring ring) const {
    return {shapes_.photo_polygon({std::move(ring), {}}), r_.photo_size_px};
  }
  // None where no label can lie in the shape.
  PolygonRows rows_near_labels(Ring ring) const {
    const Polygon seen = shapes_.photo_polygon({std::move(ring), {}});
    if (seen.empty() || !blocks_.any(bounding_box(seen.outer))) return {};
    return {seen, r_.photo_size_px};
  }

  const Rectification& r_;
  const PhotoShapes& shapes_;
  const LabelBlocks& blocks_;
  const ReachOptions& options_;
  double creep_;
};

}  // namespace

void ReachOptions::check() const {
  if (!(creep_mm >= 0 && creep_of_diagonal >= 0 && land_mm >= 0))
    throw Error(ErrorKind::wrong_use,
                "The options creep_mm, creep_of_diagonal and land_mm must be 0 or more.");
}

Ring circle(cv::Point2d centre, double diameter) {
  // Cosines of 0, 22.5, 45, 67.5 and 90 degrees; sin(22.5) gives the ring the circle's area.
  constexpr std::array<double, 5> cosine{1, 0.92387953251128674, 0.70710678118654752,
                                         0.38268343236508977, 0};
  const double radius = diameter / 2 * std::sqrt(k_arc_step / cosine[3]);
  Ring ring(k_circle_points);
  for (size_t i = 0; i <= 4; ++i) {
    const double x = radius * cosine[i], y = radius * cosine[4 - i];
    ring[i] = centre + cv::Point2d(x, y);
    ring[8 - i] = centre + cv::Point2d(-x, y);
    ring[8 + i] = centre + cv::Point2d(-x, -y);
    ring[(16 - i) % 16] = centre + cv::Point2d(x, -y);
  }
  return ring;
}

Ring grown(const Ring& convex, double distance) {
  if (distance <= 0 || convex.size() < 3) return convex;
  const Ring ring = clockwise(convex);
  Ring result;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d p = ring[i];
    const cv::Point2d in = p - ring[(i + ring.size() - 1) % ring.size()];
    const cv::Point2d out = ring[(i + 1) % ring.size()] - p;
    // Outward of an edge that runs clockwise as seen, y down, is its direction turned by -90.
    const double from = std::atan2(-in.x, in.y), turn = std::atan2(in.cross(out), in.dot(out));
    const int steps = std::max(1, static_cast<int>(std::ceil(turn / k_arc_step)));
    for (int k = 0; k <= steps; ++k) {
      const double a = from + turn * k / steps;
      result.push_back(p + distance * cv::Point2d(std::cos(a), std::sin(a)));
    }
  }
  return result;
}

LayoutRegions layout_regions(const Layout& layout, const Rectification& r,
                             const PhotoShapes& shapes, const PolygonRows& outline,
                             const LabelBlocks& blocks, const ReachOptions& options) {
  check_units(layout, r);
  LayoutRegions regions;
  for (size_t i = 0; i < layout.zones.size(); ++i)
    if (!layout.zones[i].side || *layout.zones[i].side == r.side) regions.zones.push_back({i, {}});
  regions.parts.resize(layout.parts.size());
  const auto zones = static_cast<int>(regions.zones.size());
  const PartShapes parts(r, shapes, blocks, options);
  cv::parallel_for_(
      cv::Range(0, zones + static_cast<int>(layout.parts.size())), [&](const cv::Range& range) {
        for (int k = range.start; k < range.end; ++k) {
          if (k < zones) {
            ZoneRegion& z = regions.zones[static_cast<size_t>(k)];
            const Polygon& polygon = layout.zones[z.zone].polygon;
            z.rows = intersected({shapes.photo_polygon(polygon), r.photo_size_px}, outline);
          } else {
            const auto i = static_cast<size_t>(k - zones);
            regions.parts[i] = parts.region(i, layout.parts[i]);
          }
        }
      });
  return regions;
}

}  // namespace verdigrid
