#include "compare/height_shift.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <opencv2/calib3d.hpp>

#include "base/parallel.h"
#include "measure/photo_outline.h"
#include "rectify/frame.h"

namespace verdigrid {

namespace {

constexpr int k_places = 5;  // each way over the board, for the plain homography of a view

// Over the longer side: phones' main lenses, ordinary lenses, long ones.
constexpr std::array k_focals{0.7, 0.85, 1.05, 1.3, 1.6, 2.0};
constexpr size_t k_asked_pairs = 500;  // so many of the surest pairs tell

}  // namespace

HeightShift::HeightShift(const Rectification& first, const PlaneMap& second_from_first,
                         cv::Size second_px, double first_focal, double second_focal)
    : first_(first), map_(second_from_first) {
  const cv::Rect2d box = bounding_box(measured_outline(first).outer);
  std::vector<cv::Point2d> board, in_first, in_second;
  for (int j = 0; j < k_places; ++j)
    for (int i = 0; i < k_places; ++i) {
      const cv::Point2d b{box.x + box.width * (0.1 + 0.8 * i / (k_places - 1)),
                          box.y + box.height * (0.1 + 0.8 * j / (k_places - 1))};
      board.push_back(b);
      in_first.push_back(photo_point(first, b));
      in_second.push_back(map_(in_first.back()));
    }
  const cv::Mat a = cv::findHomography(board, in_first, 0),
                b = cv::findHomography(board, in_second, 0);
  if (a.empty() || b.empty()) return;
  first_eye_ = eye_of(cv::Matx33d(a.ptr<double>()), first.photo_size_px, first_focal);
  second_eye_ = eye_of(cv::Matx33d(b.ptr<double>()), second_px, second_focal);
}

// R. Hartley, A. Zisserman, "Multiple View Geometry in Computer Vision", 2nd ed., 2003, section
// 8.1: H = K [r1 r2 t] for the plane z = 0.
HeightShift::Eye HeightShift::eye_of(const cv::Matx33d& photo_from_board, cv::Size photo_px,
                                     double focal) {
  const cv::Matx33d k = assumed_camera(photo_px, focal * std::max(photo_px.width, photo_px.height));
  const cv::Matx33d m = k.inv() * photo_from_board;
  const cv::Vec3d a(m(0, 0), m(1, 0), m(2, 0)), b(m(0, 1), m(1, 1), m(2, 1)),
      t(m(0, 2), m(1, 2), m(2, 2));
  const double scale = 2 / (cv::norm(a) + cv::norm(b));
  const cv::Vec3d r1 = a * scale, r2 = b * scale, r3 = r1.cross(r2), move = t * scale;
  const double length = cv::norm(r3);
  if (!(length > 0)) return {};
  // Camera centre -R^T t.
  return {{-r1.dot(move), -r2.dot(move)}, std::abs(r3.dot(move)) / length};
}

cv::Point2d HeightShift::operator()(cv::Point2d p) const {
  if (!(first_eye_.height > 0) || !(second_eye_.height > 0)) return {};
  const cv::Point2d at = board_point(first_, p);
  const cv::Point2d shift = (at - second_eye_.over) * (1 / second_eye_.height) -
                            (at - first_eye_.over) * (1 / first_eye_.height);
  return map_(photo_point(first_, at + shift)) - map_(p);
}

HeightShift likely_height_shift(const Rectification& first, const PlaneMap& map, cv::Size second_px,
                                std::vector<PlanePair> pairs, const PlaneMixture& mixture) {
  if (pairs.size() > k_asked_pairs) {
    std::nth_element(pairs.begin(), pairs.begin() + k_asked_pairs, pairs.end(),
                     [](const PlanePair& a, const PlanePair& b) { return a.weight > b.weight; });
    pairs.resize(k_asked_pairs);
  }
  std::array<std::array<double, k_focals.size()>, k_focals.size()> likelihood{};
  in_parallel(k_focals.size(), [&](size_t i) {
    std::vector<PlanePair> shifted = pairs;
    for (size_t j = 0; j < k_focals.size(); ++j) {
      const HeightShift shift(first, map, second_px, k_focals[i], k_focals[j]);
      for (PlanePair& pair : shifted) pair.shift_px = shift(pair.first_px);
      likelihood[i][j] = mixture_likelihood(shifted, map, mixture);
    }
  });
  double best = -std::numeric_limits<double>::infinity();
  std::array<double, 2> focals{k_assumed_focal, k_assumed_focal};
  for (size_t i = 0; i < k_focals.size(); ++i)
    for (size_t j = 0; j < k_focals.size(); ++j)
      if (likelihood[i][j] > best) {
        best = likelihood[i][j];
        focals = {k_focals[i], k_focals[j]};
      }
  return {first, map, second_px, focals[0], focals[1]};
}

}  // namespace verdigrid
