#include "measure/likely_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/polygon_distance.h"
#include "layout/layout.h"
#include "measure/photo_outline.h"

namespace verdigrid {

namespace {

// How readily a kind of part leaves each class behind: our own rule (common practice, no source).
// Columns: copper-salt, leak-film, white-salt, rust, attacked-joint, eaten-copper, unsure.
struct Weights {
  double electrolytic[7] = {1, 1, 0.3, 0.2, 1, 1, 0.7};
  double battery[7] = {1, 0.6, 1, 0.5, 0.9, 1, 0.7};
};
constexpr Weights k_weights;
constexpr double k_other_side = 0.4;    // a leak comes through holes, but less
constexpr double k_body_penalty = 0.8;  // negative end not known: the nearer of two ends was taken

double weight(PartKind kind, Residue residue) {
  const auto i = static_cast<size_t>(residue) - 1;
  return kind == PartKind::battery ? k_weights.battery[i] : k_weights.electrolytic[i];
}

// Points of a finding's borders on the board; enough of them to be within a few px of all.
std::vector<cv::Point2d> border_points(const Finding& f, const Rectification& r) {
  constexpr size_t k_most = 400;
  std::vector<cv::Point2d> points;
  for (const Polygon& p : f.regions_px) points.insert(points.end(), p.outer.begin(), p.outer.end());
  const size_t step = std::max<size_t>(1, points.size() / k_most);
  std::vector<cv::Point2d> some{f.centre_px};
  for (size_t i = 0; i < points.size(); i += step) some.push_back(points[i]);
  std::vector<cv::Point2d> result;
  for (const BoardPixel& b : board_pixels(r, some)) result.push_back(b.p_board);
  return result;
}

struct Leaker {
  const Part& part;
  std::optional<cv::Point2d> negative_end;
  Ring body;

  double distance(const std::vector<cv::Point2d>& residue) const {
    double least = HUGE_VAL;
    for (const cv::Point2d p : residue) {
      const double d = negative_end   ? cv::norm(p - *negative_end)
                       : body.empty() ? cv::norm(p - part.centre)
                                      : distance_to_polygon(p, {body, {}});
      least = std::min(least, d);
    }
    return least;
  }
};

std::string reason(const Leaker& leaker, double distance, const Rectification& r) {
  return fmt::format("{:.1f} {} from the {} of a part that may leak ({}){}", distance,
                     r.has_scale() ? "mm" : "px", leaker.negative_end ? "negative end" : "body",
                     name(leaker.part.kind),
                     leaker.part.side == r.side ? "" : ", which sits on the other side");
}

struct Distances {
  double half, farthest;
};

Distances distances(const Rectification& r, const SourceOptions& o) {
  if (r.has_scale()) return {o.half_distance_mm, o.farthest_mm};
  const cv::Rect2d box = bounding_box(measured_outline(r).outer);
  const double farthest = o.farthest_of_diagonal * std::hypot(box.width, box.height);
  return {farthest * o.half_distance_mm / o.farthest_mm, farthest};
}

LikelySource source_of(const Finding& f, const std::vector<Leaker>& leakers, const Rectification& r,
                       const SourceOptions& options) {
  const std::vector<cv::Point2d> residue = border_points(f, r);
  const Distances limits = distances(r, options);
  LikelySource source{f.id, {}};
  double sum = 0;
  for (const Leaker& leaker : leakers) {
    const double d = leaker.distance(residue);
    if (d > limits.farthest) continue;
    double w = weight(leaker.part.kind, f.residue) * std::exp2(-d / limits.half);
    if (!leaker.negative_end) w *= k_body_penalty;
    if (leaker.part.side != r.side) w *= k_other_side;
    source.candidates.push_back({leaker.part.designator, d, w, reason(leaker, d, r)});
    sum += w;
  }
  for (SourceCandidate& c : source.candidates) c.share /= sum;
  std::stable_sort(
      source.candidates.begin(), source.candidates.end(),
      [](const SourceCandidate& a, const SourceCandidate& b) { return a.share > b.share; });
  const auto most = static_cast<size_t>(options.candidates_at_most);
  if (source.candidates.size() > most) source.candidates.resize(most);
  return source;
}

}  // namespace

void SourceOptions::check() const {
  if (!(half_distance_mm > 0 && farthest_mm > 0 && farthest_of_diagonal > 0))
    throw Error(ErrorKind::wrong_use,
                "The options half_distance_mm, farthest_mm and farthest_of_diagonal must be above "
                "0.");
  if (candidates_at_most < 0)
    throw Error(ErrorKind::wrong_use, "The option candidates_at_most must be 0 or more.");
}

std::vector<LikelySource> likely_sources(const Findings& findings, const Rectification& r,
                                         const Layout& layout, const SourceOptions& options) {
  options.check();
  std::vector<Leaker> leakers;
  for (const Part& part : layout.parts)
    if (may_leak(part.kind)) leakers.push_back({part, negative_end_point(part), body_ring(part)});
  std::vector<LikelySource> sources;
  for (const Finding& f : findings.findings) sources.push_back(source_of(f, leakers, r, options));
  return sources;
}

}  // namespace verdigrid
