#include "compare/revision_signs.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/colour.h"

namespace verdigrid {

namespace {

constexpr double k_least_chroma = 10;     // below it a colour has no sure hue
constexpr double k_hue_apart_deg = 50;    // green, blue, red, purple masks lie farther apart
constexpr double k_least_coloured = 0.2;  // share of the places with one hue
constexpr int k_samples = 40;             // per axis

// Mean hue of the coloured places, as a vector of a and b, over all places: short when few are
// coloured or their hues differ.
cv::Point2d hue_vector(const cv::Mat& bgr, const std::vector<cv::Point2d>& points_px) {
  cv::Point2d sum;
  for (const cv::Point2d& p : points_px) {
    const auto& v = bgr.at<cv::Vec3b>(cv::Point(cvRound(p.x), cvRound(p.y)));
    const Lab c = lab_from_srgb({v[2] / 255.0, v[1] / 255.0, v[0] / 255.0});
    if (chroma(c) >= k_least_chroma) sum += cv::Point2d(c.a, c.b) * (1 / chroma(c));
  }
  return sum * (1 / static_cast<double>(points_px.size()));
}

}  // namespace

std::vector<std::string> revision_signs(const BoardPhoto& first, const BoardPhoto& second,
                                        const Registration& placed) {
  std::vector<cv::Point2d> in_first, in_second;
  const cv::Rect2d box = first.board_px.empty()
                             ? cv::Rect2d(0, 0, first.bgr.cols - 1, first.bgr.rows - 1)
                             : bounding_box(first.board_px.outer);
  const cv::Rect2d frame_a(0, 0, first.bgr.cols - 1, first.bgr.rows - 1),
      frame_b(0, 0, second.bgr.cols - 1, second.bgr.rows - 1);
  for (int y = 0; y < k_samples; ++y)
    for (int x = 0; x < k_samples; ++x) {
      const cv::Point2d p{box.x + (x + 0.5) * box.width / k_samples,
                          box.y + (y + 0.5) * box.height / k_samples};
      if (!first.board_px.empty() && !contains(first.board_px, p)) continue;
      const cv::Point2d q = placed.warp(p);
      if (!frame_a.contains(p) || !frame_b.contains(q)) continue;
      in_first.push_back(p);
      in_second.push_back(q);
    }
  std::vector<std::string> signs;
  if (in_first.size() < 50) return signs;
  const cv::Point2d a = hue_vector(first.bgr, in_first), b = hue_vector(second.bgr, in_second);
  if (cv::norm(a) < k_least_coloured || cv::norm(b) < k_least_coloured) return signs;
  const double apart =
      std::acos(std::clamp(a.dot(b) / (cv::norm(a) * cv::norm(b)), -1.0, 1.0)) * 180 / CV_PI;
  if (apart >= k_hue_apart_deg)
    signs.emplace_back(
        "The solder mask has another colour: it may be another revision; check the number printed "
        "on the board.");
  return signs;
}

}  // namespace verdigrid
