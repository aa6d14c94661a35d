#include "compare/warp.h"

#include <algorithm>
#include <cmath>

#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_rounds = 12;
constexpr double k_ridge = 1e-3;  // per pair, on coordinates of about 1: damps what nothing holds

std::array<double, 10> terms(const Warp& warp, cv::Point2d p) {
  const double u = (p.x - warp.centre_px.x) / warp.scale_px,
               v = (p.y - warp.centre_px.y) / warp.scale_px;
  return {1, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v};
}

std::vector<double> weights(const std::vector<PointPair>& pairs, const Warp& warp, double cut) {
  std::vector<double> w;
  w.reserve(pairs.size());
  for (const PointPair& pair : pairs)
    w.push_back(pair.weight * biweight(cv::norm(warp(pair.first_px) - pair.second_px), cut));
  return w;
}

// One Gauss-Newton step for the eight parameters of the homography, in coordinates of about 1.
bool improve_homography(const std::vector<PointPair>& pairs, const std::vector<double>& weight,
                        Warp& warp) {
  const double s = warp.scale_px;
  const cv::Matx33d unit(1 / s, 0, -warp.centre_px.x / s, 0, 1 / s, -warp.centre_px.y / s, 0, 0, 1);
  const cv::Matx33d h = warp.second_from_first * unit.inv();
  cv::Matx<double, 8, 8> normal = cv::Matx<double, 8, 8>::zeros();
  cv::Matx<double, 8, 1> right = cv::Matx<double, 8, 1>::zeros();
  const double h22 = h(2, 2);
  if (h22 == 0) return false;
  for (size_t i = 0; i < pairs.size(); ++i) {
    if (weight[i] <= 0) continue;
    const double u = (pairs[i].first_px.x - warp.centre_px.x) / s,
                 v = (pairs[i].first_px.y - warp.centre_px.y) / s;
    const double w = (h(2, 0) * u + h(2, 1) * v) / h22 + 1;
    if (w <= 1e-6) continue;
    const cv::Point2d q = warp(pairs[i].first_px), d = pairs[i].second_px - q;
    const cv::Point2d plain = mapped(warp.second_from_first, pairs[i].first_px);
    const cv::Matx<double, 1, 8> jx(u / w, v / w, 1 / w, 0, 0, 0, -plain.x * u / w,
                                    -plain.x * v / w);
    const cv::Matx<double, 1, 8> jy(0, 0, 0, u / w, v / w, 1 / w, -plain.y * u / w,
                                    -plain.y * v / w);
    normal += weight[i] * (jx.t() * jx + jy.t() * jy);
    right += weight[i] * (jx.t() * d.x + jy.t() * d.y);
  }
  for (int k = 0; k < 8; ++k) normal(k, k) *= 1 + 1e-9;
  bool is_ok = false;
  const cv::Matx<double, 8, 1> step = normal.solve(right, cv::DECOMP_CHOLESKY);
  is_ok = cv::norm(step) > 0 && std::isfinite(cv::norm(step));
  if (!is_ok) return false;
  const cv::Matx33d change(step(0), step(1), step(2), step(3), step(4), step(5), step(6), step(7),
                           0);
  cv::Matx33d better = (h * (1 / h22) + change) * unit;
  if (std::abs(better(2, 2)) > 1e-12) better = better * (1 / better(2, 2));
  warp.second_from_first = better;
  return true;
}

void fit_bend(const std::vector<PointPair>& pairs, const std::vector<double>& weight, Warp& warp) {
  cv::Matx<double, 10, 10> normal = cv::Matx<double, 10, 10>::zeros();
  cv::Matx<double, 10, 2> right = cv::Matx<double, 10, 2>::zeros();
  double total = 0;
  for (size_t i = 0; i < pairs.size(); ++i) {
    if (weight[i] <= 0) continue;
    const std::array<double, 10> t = terms(warp, pairs[i].first_px);
    const cv::Matx<double, 1, 10> row(t.data());
    const cv::Point2d d = pairs[i].second_px - mapped(warp.second_from_first, pairs[i].first_px);
    normal += weight[i] * (row.t() * row);
    right += weight[i] * (row.t() * cv::Matx<double, 1, 2>(d.x, d.y));
    total += weight[i];
  }
  for (int k = 0; k < 10; ++k) normal(k, k) += k_ridge * total;
  const cv::Matx<double, 10, 2> solution = normal.solve(right, cv::DECOMP_CHOLESKY);
  for (int k = 0; k < 10; ++k) warp.bend[static_cast<size_t>(k)] = {solution(k, 0), solution(k, 1)};
}

cv::Matx33d resize_matrix(double scale) {
  const double shift = 0.5 * scale - 0.5;
  return {scale, 0, shift, 0, scale, shift, 0, 0, 1};
}

}  // namespace

bool Warp::is_bent() const {
  return std::any_of(bend.begin(), bend.end(), [](cv::Point2d b) { return b.x != 0 || b.y != 0; });
}

cv::Point2d Warp::operator()(cv::Point2d p) const {
  const cv::Matx33d& h = second_from_first;
  const double w = h(2, 0) * p.x + h(2, 1) * p.y + h(2, 2);
  cv::Point2d q{(h(0, 0) * p.x + h(0, 1) * p.y + h(0, 2)) / w,
                (h(1, 0) * p.x + h(1, 1) * p.y + h(1, 2)) / w};
  if (!is_bent()) return q;
  const std::array<double, 10> t = terms(*this, p);
  for (size_t k = 0; k < t.size(); ++k) q += bend[k] * t[k];
  return q;
}

cv::Point2d unwarped(const Warp& warp, cv::Point2d p_second_px) {
  const cv::Matx33d back = warp.second_from_first.inv();
  cv::Point2d p = mapped(back, p_second_px);
  if (!warp.is_bent()) return p;
  cv::Point2d target = p_second_px;
  for (int i = 0; i < 20; ++i) {
    const cv::Point2d miss = p_second_px - warp(p);
    target += miss;
    p = mapped(back, target);
    if (cv::norm(miss) < 1e-4) break;
  }
  return p;
}

Warp rescaled(const Warp& warp, double first_scale, double second_scale) {
  Warp out = warp;
  out.second_from_first =
      resize_matrix(second_scale) * warp.second_from_first * resize_matrix(first_scale).inv();
  if (out.second_from_first(2, 2) != 0)
    out.second_from_first = out.second_from_first * (1 / out.second_from_first(2, 2));
  out.centre_px = mapped(resize_matrix(first_scale), warp.centre_px);
  out.scale_px = warp.scale_px * first_scale;
  for (cv::Point2d& b : out.bend) b *= second_scale;
  return out;
}

Warp fitted_warp(const std::vector<PointPair>& pairs, const Warp& start, double cut_px,
                 Bends bends) {
  Warp warp = start;
  for (int round = 0; round < k_rounds; ++round) {
    const std::vector<double> w = weights(pairs, warp, cut_px);
    if (std::count_if(w.begin(), w.end(), [](double v) { return v > 0; }) < 8) return start;
    Warp next = warp;
    if (!improve_homography(pairs, w, next)) break;
    warp = next;
    if (bends == Bends::yes) fit_bend(pairs, w, warp);
  }
  return warp;
}

}  // namespace verdigrid
