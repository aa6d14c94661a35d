#include "compare/plane_map.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "compare/plane_mixture.h"
#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_parameters = 12;  // eight of the homography, k1 and k2 of each lens
constexpr int k_rounds = 12, k_mixture_rounds = 30;
constexpr double k_newton_step = 1e-7;  // the next one would be about its square
constexpr double k_least_slope = 0.1;   // of a lens, seen over undistorted
constexpr double k_settled = 1e-8;  // of coordinates of about 1: 0.0001 px of the largest photos
constexpr long k_least_pairs = 12;
// Fewer hold a homography better than lenses besides.
constexpr long k_pairs_for_lenses = 150;
// What lenses of phones and cameras have in these terms, one standard deviation: after a fit of
// published calibrations k1 lies within 0.1; from memory, kept wide.
constexpr double k_lens_sd = 0.1;
constexpr double k_pair_sd = 0.1;  // px, of a pair against the lens's weight

constexpr double k_plain_shift = 0.05;  // px of shift per unit of height that tell half

using Parameters = std::array<double, k_parameters>;

PlaneMap with(const PlaneMap& frame, const Parameters& p) {
  PlaneMap out = frame;
  // In coordinates of about 1 on both sides.
  const cv::Matx33d unit(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], 1);
  const double a = 1 / frame.first.unit_px, b = frame.second.unit_px;
  const cv::Matx33d in(a, 0, -a * frame.first.centre_px.x, 0, a, -a * frame.first.centre_px.y, 0, 0,
                       1),
      to(b, 0, frame.second.centre_px.x, 0, b, frame.second.centre_px.y, 0, 0, 1);
  out.second_from_first = to * unit * in;
  out.first.k = {p[8], p[9]};
  out.second.k = {p[10], p[11]};
  return out;
}

Parameters parameters_of(const PlaneMap& map) {
  const double a = map.first.unit_px, b = 1 / map.second.unit_px;
  const cv::Matx33d in(a, 0, map.first.centre_px.x, 0, a, map.first.centre_px.y, 0, 0, 1),
      to(b, 0, -b * map.second.centre_px.x, 0, b, -b * map.second.centre_px.y, 0, 0, 1);
  cv::Matx33d h = to * map.second_from_first * in;
  h = h * (1 / h(2, 2));
  return {h(0, 0), h(0, 1), h(0, 2),        h(1, 0),        h(1, 1),         h(1, 2),
          h(2, 0), h(2, 1), map.first.k[0], map.first.k[1], map.second.k[0], map.second.k[1]};
}

double weight_of(const PlanePair& pair, cv::Point2d miss, PlaneCut cut) {
  const double shift = cv::norm(pair.shift_px);
  if (shift == 0) return biweight(cv::norm(miss), std::min(cut.above_px, cut.below_px));
  const cv::Point2d up = pair.shift_px * (1 / shift);
  const double along = miss.dot(up), across = cv::norm(miss - along * up);
  // A shift of less than a px per mm or so tells less and less which way is up.
  const double known = shift / (shift + k_plain_shift);
  const double above = known * cut.above_px + (1 - known) * cut.below_px;
  return biweight(across, cut.below_px) * biweight(along, along > 0 ? above : cut.below_px);
}

using Column = cv::Matx<double, k_parameters, 1>;

// Where a map takes a point, and how that moves with each parameter, px of the second photo.
struct Mapped {
  cv::Point2d at_px;
  Column slope_x, slope_y;
};

Mapped mapped_with_slopes(const PlaneMap& now, const Parameters& p, cv::Point2d first_px) {
  const cv::Point2d u =
      (ideal_px(now.first, first_px) - now.first.centre_px) * (1 / now.first.unit_px);
  const double w = p[6] * u.x + p[7] * u.y + 1;
  const cv::Point2d v{(p[0] * u.x + p[1] * u.y + p[2]) / w, (p[3] * u.x + p[4] * u.y + p[5]) / w};
  const double r2 = v.dot(v), k1 = now.second.k[0], k2 = now.second.k[1];
  const double stretch = 1 + r2 * (k1 + r2 * k2), bend = 2 * (k1 + 2 * r2 * k2);
  Mapped out;
  out.at_px = now.second.centre_px + v * (now.second.unit_px * stretch);
  const auto set = [&](int k, cv::Point2d dv) {
    const cv::Point2d seen = (stretch * dv + (bend * v.dot(dv)) * v) * now.second.unit_px;
    out.slope_x(k) = seen.x;
    out.slope_y(k) = seen.y;
  };
  const std::array<double, 3> row{u.x / w, u.y / w, 1 / w};
  for (int k = 0; k < 3; ++k) {
    set(k, {row[static_cast<size_t>(k)], 0});
    set(3 + k, {0, row[static_cast<size_t>(k)]});
  }
  set(6, v * -row[0]);
  set(7, v * -row[1]);
  // The first lens: from r (1 + k1 r^2 + k2 r^4) = seen, held.
  const double q2 = u.dot(u);
  const double slope =
      std::max(k_least_slope, 1 + q2 * (3 * now.first.k[0] + 5 * q2 * now.first.k[1]));
  const cv::Point2d du = u * (-q2 / slope);
  const cv::Point2d dv{((p[0] - v.x * p[6]) * du.x + (p[1] - v.x * p[7]) * du.y) / w,
                       ((p[3] - v.y * p[6]) * du.x + (p[4] - v.y * p[7]) * du.y) / w};
  set(8, dv);
  set(9, dv * q2);
  // The second one: its terms as they stand.
  const cv::Point2d bent = v * (now.second.unit_px * r2);
  out.slope_x(10) = bent.x;
  out.slope_y(10) = bent.y;
  out.slope_x(11) = bent.x * r2;
  out.slope_y(11) = bent.y * r2;
  return out;
}

using Normal = cv::Matx<double, k_parameters, k_parameters>;

struct Equations {
  Normal normal = Normal::zeros();  // symmetric: filled from the diagonal to the right
  Column right = Column::zeros();
  double total = 0;
  long pairs = 0;  // that count

  void add(const Column& slope, double miss, double weight) {
    for (int j = 0; j < k_parameters; ++j) {
      const double weighted = weight * slope(j);
      right(j) += weighted * miss;
      for (int k = j; k < k_parameters; ++k) normal(j, k) += weighted * slope(k);
    }
  }
};

// A step towards the least squares; whether it is worth another one.
bool step(Equations e, bool with_lenses, Parameters& p) {
  for (int j = 0; j < k_parameters; ++j)
    for (int k = 0; k < j; ++k) e.normal(j, k) = e.normal(k, j);
  // The pairs err together (a shadow, low parts), so the lens is held by as many priors as pairs.
  const double ridge = e.total * k_pair_sd * k_pair_sd / (k_lens_sd * k_lens_sd);
  for (int k = 8; k < k_parameters; ++k) {
    e.normal(k, k) += ridge;
    e.right(k) -= ridge * p[static_cast<size_t>(k)];
  }
  for (int k = 8; k < k_parameters && !with_lenses; ++k) {
    for (int j = 0; j < k_parameters; ++j) e.normal(k, j) = e.normal(j, k) = j == k;
    e.right(k) = 0;
  }
  for (int k = 0; k < k_parameters; ++k) e.normal(k, k) *= 1 + 1e-10;
  const Column by = e.normal.solve(e.right, cv::DECOMP_CHOLESKY);
  if (!std::isfinite(cv::norm(by)) || cv::norm(by) == 0) return false;
  for (int k = 0; k < k_parameters; ++k) p[static_cast<size_t>(k)] += by(k);
  return cv::norm(by, cv::NORM_INF) > k_settled;
}

Equations plane_equations(const std::vector<PlanePair>& pairs, PlaneCut cut, const PlaneMap& now,
                          const Parameters& p) {
  Equations e;
  for (const PlanePair& pair : pairs) {
    const Mapped there = mapped_with_slopes(now, p, pair.first_px);
    const cv::Point2d miss = pair.second_px - there.at_px;
    const double w = pair.weight * weight_of(pair, miss, cut);
    if (w <= 0) continue;
    ++e.pairs;
    e.total += w;
    e.add(there.slope_x, miss.x, w);
    e.add(there.slope_y, miss.y, w);
  }
  return e;
}

// Each pair counts by how surely it lies on the plane; one on a part counts across its shift.
Equations mixture_equations(const std::vector<PlanePair>& pairs, const PlaneMixture& mixture,
                            const PlaneMap& now, const Parameters& p) {
  Equations e;
  const double sd = mixture_sd_px(mixture);
  for (const PlanePair& pair : pairs) {
    const Mapped there = mapped_with_slopes(now, p, pair.first_px);
    const MissOfPlane miss = miss_of_plane(pair, pair.second_px - there.at_px);
    const MixtureShares share = mixture_shares(pair, miss, mixture);
    const double all = share.sum() / pair.weight;
    const double above = miss.along_px > 0 ? 0 : share.part;
    const double side = share.part * sd * sd / (share.part_across_sd * share.part_across_sd);
    e.total += (share.plane + above) / all;
    e.add(there.slope_x * miss.up.x + there.slope_y * miss.up.y, miss.along_px,
          (share.plane + above) / all);
    e.add(there.slope_x * miss.up.y - there.slope_y * miss.up.x, miss.across_px,
          (share.plane + side) / all);
  }
  return e;
}

void hold_near(const PlaneHold& hold, const PlaneMap& now, const Parameters& p, Equations& e) {
  const double weight = hold.share * e.total / static_cast<double>(hold.places.size());
  for (const PlanePair& place : hold.places) {
    const Mapped there = mapped_with_slopes(now, p, place.first_px);
    const cv::Point2d miss = place.second_px - there.at_px;
    e.add(there.slope_x, miss.x, weight * place.weight);
    e.add(there.slope_y, miss.y, weight * place.weight);
  }
}

}  // namespace

PlainLens plain_lens(cv::Size size) {
  return {{(size.width - 1) / 2.0, (size.height - 1) / 2.0},
          static_cast<double>(std::max(size.width, size.height)),
          {}};
}

cv::Point2d seen_px(const PlainLens& lens, cv::Point2d p) {
  if (lens.k[0] == 0 && lens.k[1] == 0) return p;
  const cv::Point2d q = (p - lens.centre_px) * (1 / lens.unit_px);
  const double r2 = q.dot(q);
  return lens.centre_px + q * (lens.unit_px * (1 + r2 * (lens.k[0] + r2 * lens.k[1])));
}

cv::Point2d ideal_px(const PlainLens& lens, cv::Point2d p) {
  if (lens.k[0] == 0 && lens.k[1] == 0) return p;
  const cv::Point2d q = (p - lens.centre_px) * (1 / lens.unit_px);
  const double seen = cv::norm(q);
  if (seen == 0) return p;
  double r = seen;  // Newton's method on r (1 + k1 r^2 + k2 r^4) = seen
  for (int i = 0; i < 8; ++i) {
    const double r2 = r * r;
    const double slope = 1 + r2 * (3 * lens.k[0] + 5 * r2 * lens.k[1]);
    if (slope < k_least_slope) break;  // folded: no lens that a photo is taken with
    const double step = (seen - r * (1 + r2 * (lens.k[0] + r2 * lens.k[1]))) / slope;
    r += step;
    if (std::abs(step) < k_newton_step) break;
  }
  return lens.centre_px + q * (lens.unit_px * r / seen);
}

cv::Point2d PlaneMap::operator()(cv::Point2d p) const {
  const cv::Matx33d& h = second_from_first;
  const cv::Point2d q = ideal_px(first, p);
  const double w = h(2, 0) * q.x + h(2, 1) * q.y + h(2, 2);
  return seen_px(second, {(h(0, 0) * q.x + h(0, 1) * q.y + h(0, 2)) / w,
                          (h(1, 0) * q.x + h(1, 1) * q.y + h(1, 2)) / w});
}

PlaneMap inverted(const PlaneMap& map) {
  return {map.second, map.first, map.second_from_first.inv()};
}

PlaneMap fitted_plane_map(const std::vector<PlanePair>& pairs, const PlaneMap& start, PlaneCut cut,
                          const PlaneHold& hold) {
  Parameters p = parameters_of(start);
  for (int round = 0; round < k_rounds; ++round) {
    const PlaneMap now = with(start, p);
    Equations e = plane_equations(pairs, cut, now, p);
    if (e.pairs < k_least_pairs) return start;
    hold_near(hold, now, p, e);
    if (!step(e, e.pairs >= k_pairs_for_lenses, p)) break;
  }
  return with(start, p);
}

PlaneMap fitted_plane_and_parts(const std::vector<PlanePair>& pairs, const PlaneMap& start,
                                const PlaneMixture& mixture, const PlaneHold& hold) {
  if (std::ssize(pairs) < k_pairs_for_lenses) return start;
  Parameters p = parameters_of(start);
  for (int round = 0; round < k_mixture_rounds; ++round) {
    const PlaneMap now = with(start, p);
    Equations e = mixture_equations(pairs, mixture, now, p);
    hold_near(hold, now, p, e);
    if (!step(e, true, p)) break;
  }
  return with(start, p);
}

}  // namespace verdigrid
