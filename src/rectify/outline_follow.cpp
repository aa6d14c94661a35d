// From a rough outline to the colour edge it stands for.
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

cv::Vec3f lab_at(const cv::Mat& lab, cv::Point2d p) {
  const double x = std::clamp(p.x, 0.0, lab.cols - 1.001),
               y = std::clamp(p.y, 0.0, lab.rows - 1.001);
  const int xi = static_cast<int>(x), yi = static_cast<int>(y);
  const auto fx = static_cast<float>(x - xi), fy = static_cast<float>(y - yi);
  const auto* a = lab.ptr<cv::Vec3f>(yi) + xi;
  const auto* b = lab.ptr<cv::Vec3f>(std::min(yi + 1, lab.rows - 1)) + xi;
  const int right = xi + 1 < lab.cols ? 1 : 0;
  return (a[0] * (1 - fx) + a[right] * fx) * (1 - fy) + (b[0] * (1 - fx) + b[right] * fx) * fy;
}

// Unit normals pointing outwards of a clockwise ring of equally spaced points.
std::vector<cv::Point2d> normals_of(const Ring& ring) {
  const size_t n = ring.size();
  std::vector<cv::Point2d> normals(n);
  for (size_t i = 0; i < n; ++i) {
    cv::Point2d along{};
    for (size_t k = 1; k <= 4; ++k) along += ring[(i + k) % n] - ring[(i + n - k) % n];
    const double length = std::max(1e-9, std::hypot(along.x, along.y));
    normals[i] = cv::Point2d(along.y, -along.x) * (1 / length);
  }
  return normals;
}

// Gain of putting the edge at each offset of one point: the colour step there.
std::vector<float> edge_gain(const cv::Mat& lab, cv::Point2d p, cv::Point2d normal, int reach) {
  constexpr int k_strip = 3;           // px averaged on either side
  constexpr float k_enough_step = 25;  // Lab; a stronger edge is not a better one
  std::vector<cv::Vec3f> profile;
  for (int o = -reach - k_strip; o <= reach + k_strip; ++o)
    profile.push_back(lab_at(lab, p + normal * static_cast<double>(o)));
  std::vector<float> gain;
  for (int o = 0; o <= 2 * reach; ++o) {
    cv::Vec3f inner{}, outer{};
    for (int k = 0; k < k_strip; ++k) {
      inner += profile[static_cast<size_t>(o + k)];
      outer += profile[static_cast<size_t>(o + k_strip + 1 + k)];
    }
    const float step = static_cast<float>(cv::norm(inner - outer)) / k_strip;
    gain.push_back(std::min(step, k_enough_step) / k_enough_step);
  }
  return gain;
}

// Best offsets of an open chain under a cost for every change between neighbours.
std::vector<int> best_chain(const std::vector<std::vector<float>>& gain, float bend_cost) {
  const size_t n = gain.size(), m = gain[0].size();
  std::vector<std::vector<float>> sum(n, std::vector<float>(m));
  std::vector<std::vector<int>> from(n, std::vector<int>(m, 0));
  sum[0] = gain[0];
  for (size_t i = 1; i < n; ++i)
    for (size_t o = 0; o < m; ++o) {
      float best = -1e30F;
      for (int step = -2; step <= 2; ++step) {
        const int k = static_cast<int>(o) + step;
        if (k < 0 || k >= static_cast<int>(m)) continue;
        const float value =
            sum[i - 1][static_cast<size_t>(k)] - bend_cost * static_cast<float>(std::abs(step));
        if (value > best) {
          best = value;
          from[i][o] = k;
        }
      }
      sum[i][o] = best + gain[i][o];
    }
  std::vector<int> chain(n);
  chain[n - 1] =
      static_cast<int>(std::max_element(sum[n - 1].begin(), sum[n - 1].end()) - sum[n - 1].begin());
  for (size_t i = n - 1; i > 0; --i) chain[i - 1] = from[i][static_cast<size_t>(chain[i])];
  return chain;
}

struct Line {
  cv::Point2d at, along;
};

std::optional<Line> fitted_line(const Ring& run) {
  if (run.size() < 2) return std::nullopt;
  std::vector<cv::Point2f> points(run.begin(), run.end());
  cv::Vec4f line;
  cv::fitLine(points, line, cv::DIST_HUBER, 0, 0.01, 0.01);
  return Line{{line[2], line[3]}, {line[0], line[1]}};
}

}  // namespace

Ring resampled(const Ring& ring, double spacing) {
  double length = 0;
  const size_t n = ring.size();
  for (size_t i = 0; i < n; ++i) length += cv::norm(ring[(i + 1) % n] - ring[i]);
  const auto count = std::max<size_t>(12, static_cast<size_t>(std::lround(length / spacing)));
  const double step = length / static_cast<double>(count);
  Ring out;
  double next = 0, walked = 0;
  for (size_t i = 0; i < n && out.size() < count; ++i) {
    const cv::Point2d a = ring[i], b = ring[(i + 1) % n];
    const double side = cv::norm(b - a);
    while (side > 0 && next <= walked + side && out.size() < count) {
      out.push_back(a + (b - a) * ((next - walked) / side));
      next += step;
    }
    walked += side;
  }
  return out;
}

Ring followed_edge(const Ring& ring, const cv::Mat& lab, int reach_px, double spacing_px) {
  constexpr float k_bend_cost = 0.25F;
  const Ring points = resampled(ring, spacing_px);
  const std::vector<cv::Point2d> normals = normals_of(points);
  const size_t n = points.size(), overlap = std::min<size_t>(n / 3, 24);
  std::vector<std::vector<float>> gain(n + 2 * overlap);
  for (size_t i = 0; i < gain.size(); ++i) {  // the ends run over each other, so the ring closes
    const size_t k = (i + n - overlap) % n;
    gain[i] = edge_gain(lab, points[k], normals[k], reach_px);
    for (int o = 0; o <= 2 * reach_px; ++o)
      gain[i][static_cast<size_t>(o)] -=
          0.15F * static_cast<float>(std::abs(o - reach_px)) / static_cast<float>(reach_px);
  }
  const std::vector<int> chain = best_chain(gain, k_bend_cost);
  Ring out(n);
  for (size_t k = 0; k < n; ++k)
    out[k] = points[k] + normals[k] * static_cast<double>(chain[k + overlap] - reach_px);
  return out;
}

Ring straightened(const Ring& ring, double tolerance_px) {
  std::vector<cv::Point2f> points(ring.begin(), ring.end()), simple;
  cv::approxPolyDP(points, simple, tolerance_px, true);
  if (simple.size() < 4) return ring;
  std::vector<size_t> knots;
  for (const cv::Point2f& s : simple)
    for (size_t i = 0; i < points.size(); ++i)
      if (points[i] == s) {
        knots.push_back(i);
        break;
      }
  std::sort(knots.begin(), knots.end());
  const size_t n = points.size(), m = knots.size();
  std::vector<std::optional<Line>> lines(m);
  for (size_t k = 0; k < m; ++k) {
    const size_t from = knots[k], count = (knots[(k + 1) % m] + n - from) % n;
    const size_t trim = std::min<size_t>(count / 5, 4);
    Ring run;
    for (size_t i = trim; i + trim <= count; ++i) run.push_back(ring[(from + i) % n]);
    if (run.size() >= 5) lines[k] = fitted_line(run);
  }
  Ring out;
  for (size_t k = 0; k < m; ++k) {
    const auto &before = lines[(k + m - 1) % m], &after = lines[k];
    cv::Point2d corner = ring[knots[k]];
    if (before && after) {
      const double det = before->along.cross(after->along);
      if (std::abs(det) > 0.2) {
        const cv::Point2d p =
            before->at + before->along * ((after->at - before->at).cross(after->along) / det);
        if (cv::norm(p - corner) < 4 * tolerance_px + 4) corner = p;
      }
    }
    out.push_back(corner);
  }
  return out;
}

}  // namespace verdigrid
