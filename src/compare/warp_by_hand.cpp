#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/other_side.h"

namespace verdigrid {

namespace {

// Area of the widest triangle over its longest side, as a share of that side: 0 on one line.
double slenderness(const std::vector<cv::Point2d>& p) {
  double widest = 0, longest = 0;
  for (size_t i = 0; i < p.size(); ++i)
    for (size_t j = i + 1; j < p.size(); ++j) {
      longest = std::max(longest, cv::norm(p[i] - p[j]));
      for (size_t k = j + 1; k < p.size(); ++k)
        widest = std::max(widest, std::abs((p[j] - p[i]).cross(p[k] - p[i])));
    }
  return longest > 0 ? widest / (longest * longest) : 0;
}

}  // namespace

Warp warp_by_hand(const std::vector<PointPair>& pairs) {
  if (pairs.size() < 3)
    throw Error(ErrorKind::bad_input,
                "Placing by hand needs at least three point pairs; set three or four, far apart.");
  std::vector<cv::Point2d> a, b;
  for (const PointPair& pair : pairs) {
    a.push_back(pair.first_px);
    b.push_back(pair.second_px);
  }
  constexpr double k_least_slenderness = 0.02;
  if (slenderness(a) < k_least_slenderness || slenderness(b) < k_least_slenderness)
    throw Error(ErrorKind::bad_input,
                "The points lie on one line or on each other; set them far apart, not in a row.");
  Warp warp;
  if (pairs.size() == 3) {
    const std::vector<cv::Point2f> fa(a.begin(), a.end()), fb(b.begin(), b.end());
    const cv::Mat m = cv::getAffineTransform(fa, fb);
    warp.second_from_first =
        cv::Matx33d(m.at<double>(0, 0), m.at<double>(0, 1), m.at<double>(0, 2), m.at<double>(1, 0),
                    m.at<double>(1, 1), m.at<double>(1, 2), 0, 0, 1);
    return warp;
  }
  const cv::Mat h = cv::findHomography(a, b, 0);
  if (h.empty() || std::abs(cv::determinant(h)) < 1e-12)
    throw Error(ErrorKind::bad_input,
                "The points do not fit any view of a flat board; check that each pair shows one "
                "place.");
  warp.second_from_first = cv::Matx33d(h.ptr<double>());
  return warp;
}

}  // namespace verdigrid
