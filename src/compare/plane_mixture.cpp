#include "compare/plane_mixture.h"

#include <cmath>

namespace verdigrid {

namespace {

constexpr double k_sd = 0.3;  // looked-for px, of a small patch that fits
constexpr double k_plane = 0.4, k_part = 0.3, k_chance = 0.3;  // shares of small patches
constexpr double k_chance_density = 1.0 / (11 * 11);           // a match by chance lies within 5 px
constexpr double k_slack = 0.2;                                // of a part's shift, across its way

double bell(double x, double sd) {
  return std::exp(-0.5 * x * x / (sd * sd)) / (std::sqrt(2 * CV_PI) * sd);
}

}  // namespace

MissOfPlane miss_of_plane(const PlanePair& pair, cv::Point2d miss_px) {
  MissOfPlane out;
  if (const double shift = cv::norm(pair.shift_px); shift > 0) out.up = pair.shift_px * (1 / shift);
  out.along_px = miss_px.dot(out.up);
  out.across_px = miss_px.cross(out.up);
  return out;
}

double mixture_sd_px(const PlaneMixture& mixture) { return k_sd * mixture.px; }

MixtureShares mixture_shares(const PlanePair& pair, const MissOfPlane& miss,
                             const PlaneMixture& mixture) {
  const double along = miss.along_px / mixture.px, across = miss.across_px / mixture.px;
  if (pair.shift_px == cv::Point2d())
    return {(k_plane + k_part) * bell(along, k_sd) * bell(across, k_sd), 0,
            k_chance * k_chance_density, mixture.px};
  const double mean = k_sd + mixture.part_height * cv::norm(pair.shift_px) / mixture.px;
  const double across_sd = std::hypot(k_sd, k_slack * along);
  const double down =
      along > 0 ? std::exp(-along / mean) : std::exp(-0.5 * along * along / (k_sd * k_sd));
  return {k_plane * bell(along, k_sd) * bell(across, k_sd),
          k_part * down / mean * bell(across, across_sd), k_chance * k_chance_density,
          across_sd * mixture.px};
}

double mixture_likelihood(const std::vector<PlanePair>& pairs, const PlaneMap& map,
                          const PlaneMixture& mixture) {
  double sum = 0;
  for (const PlanePair& pair : pairs)
    sum += pair.weight *
           std::log(mixture_shares(pair, miss_of_plane(pair, pair.second_px - map(pair.first_px)),
                                   mixture)
                        .sum());
  return sum;
}

}  // namespace verdigrid
