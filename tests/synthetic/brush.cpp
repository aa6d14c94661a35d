#include "synthetic/brush.h"

#include "synthetic/strokes.h"

namespace verdigrid::synthetic {

namespace {

double bevelled(double height, double d, double bevel) {
  return bevel > 0 && d > -bevel ? height - 0.6 * (bevel + d) : height;
}

}  // namespace

void Brush::box(cv::Point2d centre, cv::Size2d size, double radius, const Surface& s, double height,
                double bevel) {
  const cv::Size2d half{size.width / 2, size.height / 2};
  const auto distance = [&](cv::Point2d p) { return box_distance(p - centre, half, radius); };
  solid(
      centre, std::hypot(half.width, half.height), distance,
      [&](cv::Point2d p) { return bevelled(height, distance(p), bevel); },
      [&](cv::Point2d) { return s; });
}

void Brush::disc(cv::Point2d centre, double radius, const Surface& s, double height, double bevel) {
  const auto distance = [&](cv::Point2d p) { return cv::norm(p - centre) - radius; };
  solid(
      centre, radius, distance, [&](cv::Point2d p) { return bevelled(height, distance(p), bevel); },
      [&](cv::Point2d) { return s; });
}

void Brush::lying(cv::Point2d a, cv::Point2d b, double radius, const Surface& s,
                  double axis_height) {
  const cv::Point2d d = b - a, centre = (a + b) / 2;
  const double length = cv::norm(d);
  const cv::Point2d along = d / length;
  const auto across = [&](cv::Point2d p) { return std::abs((p - centre).cross(along)); };
  solid(
      centre, length / 2 + radius,
      [&](cv::Point2d p) {
        return std::max(std::abs((p - centre).dot(along)) - length / 2, across(p) - radius);
      },
      [&](cv::Point2d p) {
        const double t = std::min(across(p) / radius, 1.0);
        return axis_height + radius * std::sqrt(1 - t * t);
      },
      [&](cv::Point2d) { return s; });
}

void Brush::wire(cv::Point2d a, cv::Point2d b, double width, const Surface& s, double height) {
  const double r = width / 2;
  solid((a + b) / 2, cv::norm(b - a) / 2 + r,
        [&](cv::Point2d p) { return segment_distance(p, a, b) - r; },
        [&](cv::Point2d p) {
          const double t = std::min(segment_distance(p, a, b) / r, 1.0);
          return height + r * (std::sqrt(1 - t * t) - 1);
        },
        [&](cv::Point2d) { return s; });
}

void Brush::mark_box(cv::Point2d centre, cv::Size2d size, const Surface& s, double strength) {
  const cv::Size2d half{size.width / 2, size.height / 2};
  for_each_px(c_, f_, centre, std::hypot(half.width, half.height) + 1 / c_.px_per_mm,
              [&](int x, int y, cv::Point2d p) {
                const float cover = edge_cover(c_, box_distance(p - centre, half, 0));
                lay(c_, x, y, cover * static_cast<float>(strength), s);
              });
}

void Brush::mark_text(std::string_view text, cv::Point2d centre, double height, const Surface& s,
                      double strength, double turn_deg) {
  const double a = turn_deg * CV_PI / 180, r = std::max(0.06 * height, 0.35 / c_.px_per_mm);
  const LocalFrame turned{centre, std::cos(a), std::sin(a)};
  for (const auto& line : text_strokes(text, height))
    for (size_t i = 1; i < line.size(); ++i) {
      const cv::Point2d p0 = turned.seen(line[i - 1]), p1 = turned.seen(line[i]);
      for_each_px(c_, f_, (p0 + p1) / 2, cv::norm(p1 - p0) / 2 + r + 1 / c_.px_per_mm,
                  [&](int x, int y, cv::Point2d p) {
                    const float cover = edge_cover(c_, segment_distance(p, p0, p1) - r);
                    lay(c_, x, y, cover * static_cast<float>(strength), s);
                  });
    }
}

}  // namespace verdigrid::synthetic
