#include "synthetic/canvas.h"

#include "base/geometry.h"

namespace verdigrid::synthetic {

namespace {

void raise(cv::Mat& coverage, int x, int y, double distance_px) {
  const double v = std::clamp(0.5 - distance_px, 0.0, 1.0) * 255;
  auto& c = coverage.at<uchar>(y, x);
  c = std::max(c, static_cast<uchar>(v + 0.5));
}

}  // namespace

LocalFrame frame_of(const Canvas& canvas, const PlacedPart& part) {
  const double turn = canvas.is_mirrored ? -part.rotation_deg : part.rotation_deg;
  const double a = turn * CV_PI / 180;
  return {canvas.seen(part.centre_mm), std::cos(a), std::sin(a)};
}

double box_distance(cv::Point2d p, cv::Size2d half, double radius) {
  const double x = std::abs(p.x) - half.width + radius, y = std::abs(p.y) - half.height + radius;
  const double ox = std::max(x, 0.0), oy = std::max(y, 0.0);
  return std::sqrt(ox * ox + oy * oy) + std::min(std::max(x, y), 0.0) - radius;
}

double segment_distance(cv::Point2d p, cv::Point2d a, cv::Point2d b) {
  const cv::Point2d d = b - a;
  const double n = d.dot(d);
  const double t = n > 0 ? std::clamp((p - a).dot(d) / n, 0.0, 1.0) : 0;
  const cv::Point2d q = p - a - t * d;
  return std::sqrt(q.dot(q));
}

// Row by row, only the columns that the stroke can touch there.
void stroke(cv::Mat& coverage, cv::Point2d a, cv::Point2d b, double width_px) {
  if (a.y > b.y) std::swap(a, b);
  const double r = width_px / 2, reach = r + 1;
  const int first = std::max(0, static_cast<int>(std::ceil(a.y - reach))),
            last = std::min(coverage.rows - 1, static_cast<int>(std::floor(b.y + reach)));
  const double low = std::min(a.x, b.x) - reach, high = std::max(a.x, b.x) + reach;
  const double dy = b.y - a.y, length = std::hypot(b.x - a.x, dy);
  for (int y = first; y <= last; ++y) {
    double left = low, right = high;
    if (dy > 1e-6) {
      const double x = a.x + (y - a.y) / dy * (b.x - a.x), half = reach * length / dy;
      left = std::max(low, x - half);
      right = std::min(high, x + half);
    }
    const int to = std::min(coverage.cols - 1, static_cast<int>(std::floor(right)));
    for (int x = std::max(0, static_cast<int>(std::ceil(left))); x <= to; ++x)
      raise(coverage, x, y, segment_distance({double(x), double(y)}, a, b) - r);
  }
}

void fill_box(cv::Mat& coverage, cv::Point2d centre, cv::Size2d size, double angle_deg,
              double radius) {
  const double a = angle_deg * CV_PI / 180, reach = std::hypot(size.width, size.height) / 2 + 1;
  const LocalFrame frame{centre, std::cos(a), std::sin(a)};
  const cv::Size2d half{size.width / 2, size.height / 2};
  const int top = std::max(0, static_cast<int>(centre.y - reach)),
            bottom = std::min(coverage.rows - 1, static_cast<int>(centre.y + reach) + 1);
  const int left = std::max(0, static_cast<int>(centre.x - reach)),
            right = std::min(coverage.cols - 1, static_cast<int>(centre.x + reach) + 1);
  for (int y = top; y <= bottom; ++y)
    for (int x = left; x <= right; ++x)
      raise(coverage, x, y, box_distance(frame.local({double(x), double(y)}), half, radius));
}

}  // namespace verdigrid::synthetic
