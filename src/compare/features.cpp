#include "compare/features.h"

#include <opencv2/features2d.hpp>
#include <opencv2/imgproc.hpp>

namespace verdigrid {

namespace {

constexpr double k_contrast = 0.02;  // half of Lowe's 0.04: dark boards have weak texture
constexpr int k_tile_px = 1400, k_apron_px = 60;

void make_root(cv::Mat& descriptors) {
  for (int r = 0; r < descriptors.rows; ++r) {
    cv::Mat row = descriptors.row(r);
    row /= std::max(cv::norm(row, cv::NORM_L1), 1e-7);
    cv::sqrt(row, row);
  }
}

}  // namespace

cv::Mat region_picture(cv::Size size, const Polygon& region) {
  if (region.empty()) return {};
  cv::Mat inside = cv::Mat::zeros(size, CV_8UC1);
  std::vector<cv::Point> ring;
  for (const cv::Point2d& p : region.outer)
    ring.emplace_back(cv::saturate_cast<int>(p.x), cv::saturate_cast<int>(p.y));
  cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(255));
  return inside;
}

Features features_of(const cv::Mat& grey, const Polygon& region_px, int count) {
  Features out;
  std::vector<cv::KeyPoint> points;
  cv::SIFT::create(count, 3, k_contrast)
      ->detectAndCompute(grey, region_picture(grey.size(), region_px), points, out.descriptors);
  make_root(out.descriptors);
  for (const cv::KeyPoint& point : points) {
    out.points_px.push_back(point.pt);
    out.sizes_px.push_back(point.size);
    out.angles_deg.push_back(point.angle);
  }
  return out;
}

Features tiled_features(const cv::Mat& grey, int count_per_tile, const Work& work) {
  Features out;
  for (int y = 0; y < grey.rows; y += k_tile_px)
    for (int x = 0; x < grey.cols; x += k_tile_px) {
      work.check();
      // A point belongs to the tile that holds it; the tile is seen with what lies round it.
      const cv::Rect tile(x, y, k_tile_px, k_tile_px);
      const cv::Rect seen = cv::Rect(x - k_apron_px, y - k_apron_px, k_tile_px + 2 * k_apron_px,
                                     k_tile_px + 2 * k_apron_px) &
                            cv::Rect({}, grey.size());
      const Features one = features_of(grey(seen), {}, count_per_tile);
      for (size_t i = 0; i < one.points_px.size(); ++i) {
        const cv::Point2f p = one.points_px[i] + cv::Point2f(seen.tl());
        if (!cv::Rect2f(tile).contains(p)) continue;
        out.points_px.push_back(p);
        out.sizes_px.push_back(one.sizes_px[i]);
        out.angles_deg.push_back(one.angles_deg[i]);
        out.descriptors.push_back(one.descriptors.row(static_cast<int>(i)));
      }
    }
  return out;
}

std::vector<PointPair> feature_pairs(const Features& first, const Features& second, double ratio) {
  std::vector<PointPair> pairs;
  if (first.descriptors.rows < 2 || second.descriptors.rows < 2) return pairs;
  std::vector<std::vector<cv::DMatch>> nearest;
  cv::BFMatcher(cv::NORM_L2).knnMatch(first.descriptors, second.descriptors, nearest, 2);
  for (const auto& two : nearest)
    if (two.size() == 2 && two[0].distance < ratio * two[1].distance)
      pairs.push_back({first.points_px[static_cast<size_t>(two[0].queryIdx)],
                       second.points_px[static_cast<size_t>(two[0].trainIdx)], 1});
  return pairs;
}

}  // namespace verdigrid
