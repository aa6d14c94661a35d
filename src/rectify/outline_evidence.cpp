// How much speaks for an outline.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "rectify/main_sides.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

cv::Mat filled(const Ring& ring, cv::Size size) {
  cv::Mat mask(size, CV_8UC1, cv::Scalar(0));
  std::vector<cv::Point> points;
  for (const cv::Point2d p : ring)
    points.emplace_back(static_cast<int>(std::lround(p.x)), static_cast<int>(std::lround(p.y)));
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, 255);
  return mask;
}

constexpr float k_far_share = 1.5F;

bool at_frame(cv::Point2d p, cv::Size size) {
  constexpr double k_near_px = 4;
  return p.x < k_near_px || p.y < k_near_px || p.x > size.width - 1 - k_near_px ||
         p.y > size.height - 1 - k_near_px;
}

cv::Vec3f strip_mean(const cv::Mat& lab, cv::Point2d p, cv::Point2d normal, int from, int to) {
  cv::Vec3f sum{};
  for (int o = from; o <= to; ++o) {
    const cv::Point2d q = p + normal * static_cast<double>(o);
    const int x = std::clamp(static_cast<int>(std::lround(q.x)), 0, lab.cols - 1);
    const int y = std::clamp(static_cast<int>(std::lround(q.y)), 0, lab.rows - 1);
    sum += lab.at<cv::Vec3f>(y, x);
  }
  return sum * (1.F / static_cast<float>(to - from + 1));
}

// Colour difference (Lab) between a strip inside and one outside, `from` to `to` px from the edge.
float colour_step(const cv::Mat& lab, cv::Point2d p, cv::Point2d normal, int from, int to) {
  return static_cast<float>(
      cv::norm(strip_mean(lab, p, normal, from, to) - strip_mean(lab, p, normal, -to, -from)));
}

double straight_share(const Ring& ring) {
  std::vector<cv::Point2f> points(ring.begin(), ring.end()), simple;
  const double size = std::sqrt(std::max(1.0, std::abs(signed_area(ring))));
  cv::approxPolyDP(points, simple, 0.008 * size, true);
  double straight = 0, all = 0;
  for (size_t i = 0; i < simple.size(); ++i) {
    const double length = cv::norm(simple[(i + 1) % simple.size()] - simple[i]);
    all += length;
    if (length > 0.15 * size) straight += length;
  }
  return all > 0 ? straight / all : 0;
}

// Share of pixels with a visible line or part edge.
double busy_share(const cv::Mat& steep, const cv::Mat& where) {
  cv::Mat both;
  cv::bitwise_and(steep, where, both);
  return (cv::countNonZero(both) + 1.0) / (cv::countNonZero(where) + 50.0);
}

cv::Mat steep_places(const cv::Mat& lab) {
  cv::Mat lightness, dx, dy;
  cv::extractChannel(lab, lightness, 0);
  cv::Sobel(lightness, dx, CV_32F, 1, 0, 3, 0.25);
  cv::Sobel(lightness, dy, CV_32F, 0, 1, 3, 0.25);
  constexpr double k_steep_per_px = 6;  // Lab lightness
  return cv::abs(dx) + cv::abs(dy) > k_steep_per_px;
}

double ramp(double x, double low, double high) {
  return std::clamp((x - low) / (high - low), 0.0, 1.0);
}

}  // namespace

float edge_step(const cv::Mat& lab, cv::Point2d p, cv::Point2d outwards) {
  // A thin line changes colour near by, an edge also further off.
  return std::min(colour_step(lab, p, outwards, 2, 4),
                  k_far_share * colour_step(lab, p, outwards, 4, 9));
}

OutlineEvidence outline_evidence(const Ring& ring, const cv::Mat& lab) {
  OutlineEvidence e;
  const cv::Mat board = filled(ring, lab.size());
  const Ring points = resampled(ring, 3);
  const size_t n = points.size();
  double clear = 0, seen = 0;
  for (size_t i = 0; i < n; ++i) {
    if (at_frame(points[i], lab.size())) continue;
    const cv::Point2d along = points[(i + 2) % n] - points[(i + n - 2) % n];
    const double length = std::max(1e-9, std::hypot(along.x, along.y));
    const cv::Point2d normal(along.y / length, -along.x / length);
    const double step = edge_step(lab, points[i], normal);
    seen += 1;
    clear += ramp(step, 4, 12);
  }
  e.inside = seen / static_cast<double>(n);
  e.edge = seen > 0 ? clear / seen : 0;
  e.straight = straight_share(ring);
  if (const auto corners = main_sides(ring))
    e.rectangular = std::min(1.0, std::abs(signed_area(ring)) /
                                      std::abs(signed_area({corners->begin(), corners->end()})));
  const cv::Mat steep = steep_places(lab);
  cv::Mat inner, outer;
  cv::erode(board, inner, cv::Mat(), {-1, -1}, 5);
  cv::dilate(board, outer, cv::Mat(), {-1, -1}, 5);
  const double in = busy_share(steep, inner), out = busy_share(steep, ~outer);
  e.busy = ramp(in, 0.02, 0.10) * ramp(in / (in + out), 0.3, 0.6);
  e.confidence = std::pow(ramp(e.edge, 0.3, 1), 0.7) * std::pow(ramp(e.straight, 0.2, 1), 0.7) *
                 std::pow(ramp(e.rectangular, 0.5, 1), 0.7) * ramp(e.inside, 0.6, 1) *
                 (0.3 + 0.7 * e.busy);
  return e;
}

}  // namespace verdigrid
