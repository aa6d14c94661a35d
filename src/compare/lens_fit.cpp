#include "compare/lens_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/calib3d.hpp>

#include "base/error.h"
#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_parameters = 10;  // eight of the homography, k1, k2
constexpr int k_rounds = 30;
// Twice what the Bayesian information criterion (Schwarz, Annals of Statistics 6(2), 1978) asks of
// two more parameters: neighbouring pairs share a part of their errors.
constexpr double k_lens_evidence = 2 * 2;
constexpr size_t k_pairs_for_lens = 60;

using Parameters = std::array<double, k_parameters>;

// Photo coordinates are centred and divided by the longer side, board coordinates by their spread:
// every parameter is then of about 1.
struct Problem {
  std::vector<BoardPair> pairs;  // in those coordinates
  double unit_px = 1;
  cv::Matx33d board_unit;  // board to unit coordinates
  cv::Point2d centre_px;
};

cv::Point2d seen(const Parameters& p, cv::Point2d b) {
  const double w = p[6] * b.x + p[7] * b.y + 1;
  const cv::Point2d q{(p[0] * b.x + p[1] * b.y + p[2]) / w, (p[3] * b.x + p[4] * b.y + p[5]) / w};
  const double r2 = q.dot(q);
  return q * (1 + r2 * (p[8] + r2 * p[9]));
}

Problem problem_of(const std::vector<BoardPair>& pairs, cv::Size size) {
  Problem out;
  out.unit_px = std::max(size.width, size.height);
  out.centre_px = {(size.width - 1) / 2.0, (size.height - 1) / 2.0};
  Ring places;
  for (const BoardPair& pair : pairs) places.push_back(pair.board);
  const cv::Rect2d box = bounding_box(places);
  const double s = std::max({box.width, box.height, 1e-9}) / 2;
  out.board_unit = cv::Matx33d(1 / s, 0, -(box.x + box.width / 2) / s, 0, 1 / s,
                               -(box.y + box.height / 2) / s, 0, 0, 1);
  for (const BoardPair& pair : pairs)
    out.pairs.push_back({mapped(out.board_unit, pair.board),
                         (pair.photo_px - out.centre_px) * (1 / out.unit_px), pair.weight});
  return out;
}

double median_residual(const Problem& problem, const Parameters& p) {
  std::vector<double> r;
  for (const BoardPair& pair : problem.pairs)
    r.push_back(cv::norm(seen(p, pair.board) - pair.photo_px));
  std::nth_element(r.begin(), r.begin() + static_cast<long>(r.size() / 2), r.end());
  return r[r.size() / 2];
}

// One Gauss-Newton step over the first `count` parameters, with central differences.
Parameters stepped(const Problem& problem, const Parameters& p, int count, double cut) {
  cv::Mat normal = cv::Mat::zeros(count, count, CV_64F), right = cv::Mat::zeros(count, 1, CV_64F);
  constexpr double k_step = 1e-6;
  for (const BoardPair& pair : problem.pairs) {
    const cv::Point2d miss = pair.photo_px - seen(p, pair.board);
    const double w = pair.weight * biweight(cv::norm(miss), cut);
    if (w <= 0) continue;
    std::array<cv::Point2d, k_parameters> slope;
    for (int k = 0; k < count; ++k) {
      Parameters up = p, down = p;
      up[static_cast<size_t>(k)] += k_step;
      down[static_cast<size_t>(k)] -= k_step;
      slope[static_cast<size_t>(k)] =
          (seen(up, pair.board) - seen(down, pair.board)) * (0.5 / k_step);
    }
    for (int i = 0; i < count; ++i) {
      right.at<double>(i) += w * slope[static_cast<size_t>(i)].dot(miss);
      for (int j = 0; j < count; ++j)
        normal.at<double>(i, j) +=
            w * slope[static_cast<size_t>(i)].dot(slope[static_cast<size_t>(j)]);
    }
  }
  for (int k = 0; k < count; ++k) normal.at<double>(k, k) += 1e-12 + 1e-9 * normal.at<double>(k, k);
  cv::Mat step;
  Parameters out = p;
  if (!cv::solve(normal, right, step, cv::DECOMP_CHOLESKY)) return out;
  for (int k = 0; k < count; ++k) out[static_cast<size_t>(k)] += step.at<double>(k);
  return out;
}

Parameters fitted(const Problem& problem, Parameters p, int count) {
  for (int round = 0; round < k_rounds; ++round) {
    // 4.685 times the standard deviation (1.4826 times the median distance is close to it in one
    // dimension; in two a little more, which only lets more pairs in).
    const double cut = std::max(4.685 * 1.4826 * median_residual(problem, p), 1e-7);
    p = stepped(problem, p, count, cut);
  }
  return p;
}

double robust_rms(const Problem& problem, const Parameters& p) {
  const double cut = std::max(4.685 * 1.4826 * median_residual(problem, p), 1e-12);
  double sum = 0, weight = 0;
  for (const BoardPair& pair : problem.pairs) {
    const double r = cv::norm(seen(p, pair.board) - pair.photo_px), w = biweight(r, cut);
    sum += w * r * r;
    weight += w;
  }
  return weight > 0 ? std::sqrt(sum / weight) : 0;
}

}  // namespace

BoardView board_view(const std::vector<BoardPair>& pairs, cv::Size photo_size_px) {
  require(pairs.size() >= 4, "a board view needs pairs");
  const Problem problem = problem_of(pairs, photo_size_px);
  std::vector<cv::Point2d> from, to;
  for (const BoardPair& pair : problem.pairs) {
    from.push_back(pair.board);
    to.push_back(pair.photo_px);
  }
  const cv::Mat h = cv::findHomography(from, to, pairs.size() > 8 ? cv::LMEDS : 0);
  if (h.empty())
    throw Error(ErrorKind::no_result,
                "The places found fit no view of a flat board; set three or four point pairs by "
                "hand.");
  Parameters start{};
  for (int k = 0; k < 8; ++k)
    start[static_cast<size_t>(k)] = h.ptr<double>()[k] / h.ptr<double>()[8];
  Parameters best = pairs.size() >= 8 ? fitted(problem, start, 8) : start;
  BoardView out;
  bool has_lens = false;
  if (pairs.size() >= k_pairs_for_lens) {
    const Parameters with_lens = fitted(problem, best, k_parameters);
    const auto n = static_cast<double>(pairs.size());
    const double gain = robust_rms(problem, best) / std::max(robust_rms(problem, with_lens), 1e-12);
    has_lens = 2 * n * std::log(gain) > k_lens_evidence * std::log(n);
    if (has_lens) best = with_lens;
  }
  out.rms_px = robust_rms(problem, best) * problem.unit_px;
  const cv::Matx33d photo_from_unit(problem.unit_px, 0, problem.centre_px.x, 0, problem.unit_px,
                                    problem.centre_px.y, 0, 0, 1);
  const cv::Matx33d unit(best[0], best[1], best[2], best[3], best[4], best[5], best[6], best[7], 1);
  out.board_from_photo_px = (photo_from_unit * unit * problem.board_unit).inv();
  out.board_from_photo_px = out.board_from_photo_px * (1 / out.board_from_photo_px(2, 2));
  if (has_lens)
    out.lens = Lens{photo_from_unit, {best[8], best[9], 0, 0, 0}, photo_size_px, out.rms_px};
  return out;
}

}  // namespace verdigrid
