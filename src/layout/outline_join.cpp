#include "layout/outline_join.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr size_t k_most_pieces = 20'000;
constexpr int k_most_arc_points = 720;

double length_of(const Polyline& line) {
  double sum = 0;
  for (size_t i = 1; i < line.size(); ++i) sum += cv::norm(line[i] - line[i - 1]);
  return sum;
}

struct Chain {
  Polyline points;
  bool is_closed = false;
};

// Grows one chain at its end by the nearest unused piece until nothing is near or it closes.
Chain grown(const std::vector<Polyline>& pieces, std::vector<char>& is_used, size_t first,
            double gap) {
  Chain chain{pieces[first], false};
  is_used[first] = 1;
  for (bool is_reversed = false;;) {
    if (chain.points.size() > 2 && cv::norm(chain.points.front() - chain.points.back()) <= gap) {
      chain.points.pop_back();
      chain.is_closed = true;
      return chain;
    }
    size_t best = pieces.size();
    bool takes_back = false;
    double nearest = gap;
    for (size_t i = 0; i < pieces.size(); ++i) {
      if (is_used[i]) continue;
      const double to_front = cv::norm(pieces[i].front() - chain.points.back());
      const double to_back = cv::norm(pieces[i].back() - chain.points.back());
      if (std::min(to_front, to_back) > nearest) continue;
      nearest = std::min(to_front, to_back);
      best = i;
      takes_back = to_back < to_front;
    }
    if (best == pieces.size()) {
      if (is_reversed) return chain;
      // Nothing at this end: try the other one once.
      std::reverse(chain.points.begin(), chain.points.end());
      is_reversed = true;
      continue;
    }
    is_used[best] = 1;
    Polyline next = pieces[best];
    if (takes_back) std::reverse(next.begin(), next.end());
    chain.points.insert(chain.points.end(), next.begin() + 1, next.end());
  }
}

bool lies_inside(const Ring& inner, const Ring& outer) {
  const Polygon polygon{outer, {}};
  return std::all_of(inner.begin(), inner.end(),
                     [&](cv::Point2d p) { return contains(polygon, p); });
}

}  // namespace

Polyline arc_about(cv::Point2d centre, cv::Point2d start, double angle_rad, double sag) {
  const cv::Point2d d = start - centre;
  const double radius = cv::norm(d);
  double step = std::numbers::pi / 8;
  if (radius > sag) step = std::min(step, 2 * std::acos(1 - sag / radius));
  const double wanted = std::ceil(std::abs(angle_rad) / std::max(step, 1e-6));
  const int n = static_cast<int>(std::clamp(wanted, 1.0, double(k_most_arc_points)));
  Polyline line;
  for (int i = 0; i <= n; ++i) {
    const double a = angle_rad * i / n, c = std::cos(a), s = std::sin(a);
    line.emplace_back(centre.x + c * d.x - s * d.y, centre.y + s * d.x + c * d.y);
  }
  return line;
}

Polyline arc_through(cv::Point2d start, cv::Point2d middle, cv::Point2d end, double sag) {
  const cv::Point2d a = middle - start, b = end - start;
  const double cross = a.x * b.y - a.y * b.x;
  if (std::abs(cross) < 1e-12 * std::max(1.0, a.dot(a) + b.dot(b))) return {start, end};
  // Centre from the perpendicular bisectors.
  const double aa = a.dot(a), bb = b.dot(b);
  const cv::Point2d centre =
      start + cv::Point2d(b.y * aa - a.y * bb, a.x * bb - b.x * aa) * (1 / (2 * cross));
  const auto angle_of = [&](cv::Point2d p) { return std::atan2(p.y - centre.y, p.x - centre.x); };
  const double turn = 2 * std::numbers::pi;
  double angle = angle_of(end) - angle_of(start);
  // cross > 0: from start over middle to end the angle grows.
  while (cross > 0 && angle <= 0) angle += turn;
  while (cross < 0 && angle >= 0) angle -= turn;
  Polyline line = arc_about(centre, start, angle, sag);
  line.back() = end;
  return line;
}

JoinedOutline joined_outline(const std::vector<Polyline>& pieces, double gap) {
  require(pieces.size() <= k_most_pieces, "too many edge pieces");
  std::vector<char> is_used(pieces.size(), 0);
  std::vector<Ring> rings;
  std::vector<Polyline> open;  // also rings without area: there and back again
  for (size_t i = 0; i < pieces.size(); ++i)
    if (pieces[i].size() < 2 || length_of(pieces[i]) <= 0) is_used[i] = 1;
  for (size_t i = 0; i < pieces.size(); ++i) {
    if (is_used[i]) continue;
    Chain chain = grown(pieces, is_used, i, gap);
    if (chain.is_closed && chain.points.size() > 2 &&
        std::abs(signed_area(chain.points)) > gap * gap)
      rings.push_back(clockwise(std::move(chain.points)));
    else
      open.push_back(std::move(chain.points));
  }
  JoinedOutline out;
  for (Polyline& line : open) {
    const double missing = cv::norm(line.front() - line.back());
    // A broken outline counts when it holds all that closes: holes close where the edge does not.
    const bool is_widest = std::all_of(rings.begin(), rings.end(), [&](const Ring& ring) {
      return std::abs(signed_area(line)) > signed_area(ring);
    });
    if (is_widest && line.size() > 3 && std::abs(signed_area(line)) > gap * gap &&
        missing < 0.1 * length_of(line)) {
      out.gaps.push_back(missing);
      rings.push_back(clockwise(std::move(line)));
    } else {
      ++out.loose;
    }
  }
  std::sort(out.gaps.rbegin(), out.gaps.rend());
  std::sort(rings.begin(), rings.end(),
            [](const Ring& a, const Ring& b) { return signed_area(a) > signed_area(b); });
  for (Ring& ring : rings) {
    if (out.outline.outer.empty())
      out.outline.outer = std::move(ring);
    else if (lies_inside(ring, out.outline.outer))
      out.outline.holes.push_back(std::move(ring));
    else
      out.others.push_back(std::move(ring));
  }
  return out;
}

}  // namespace verdigrid
