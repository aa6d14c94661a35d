#include "tests/compare/rendered_parts.h"

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/point_map.h"
#include "measure/zone_table.h"
#include "rectify/rectify.h"
#include "synthetic/random.h"

namespace verdigrid {

namespace {

// The board place that the joined picture's px shows, by photo i.
cv::Point2d board_place(const Joined& joined, const RenderedParts& parts, size_t i, cv::Point2d p) {
  return board_mm_of(parts.shots[i].truth.view, joined.photos[i].photo_from_joined(p));
}

// Where a board place lies in the joined picture, by the photo that shows it best in the middle.
cv::Point2d joined_place(const Joined& joined, const RenderedParts& parts, cv::Point2d board_mm) {
  double best = 1e300;
  cv::Point2d place;
  for (size_t i = 0; i < parts.shots.size(); ++i) {
    const cv::Point2d p = photo_px_of(parts.shots[i].truth.view, board_mm);
    const cv::Size size = parts.photos[i].bgr.size();
    const double off = std::hypot(p.x - size.width / 2.0, p.y - size.height / 2.0);
    if (off >= best) continue;
    best = off;
    place = inverted(joined.photos[i].photo_from_joined)(p);
  }
  return place;
}

}  // namespace

RenderedParts rendered_parts(int number, cv::Size photo_px) {
  const auto seed = static_cast<std::uint64_t>(number) + 60'000;
  RenderedParts out;
  synthetic::BoardOptions board;
  board.part_density = 0.9;
  out.spec = synthetic::random_board(seed, board);
  synthetic::Random random(synthetic::mixed(seed, 3));
  synthetic::CameraOptions options;
  options.tilt_at_most_deg = 8;
  options.rotation_at_most_deg = 4;
  options.defocus_at_most_px = 0.6;
  synthetic::CameraSpec lens = synthetic::random_camera(seed, photo_px, options);
  std::vector<synthetic::CameraSpec> cameras;
  for (int k = 0; k < 4; ++k) {
    synthetic::CameraSpec c =
        synthetic::random_camera(seed * 4 + static_cast<std::uint64_t>(k), photo_px, options);
    c.fill = 1.35;
    c.shift = {(k % 2 == 0 ? 0.2 : -0.2) + random.uniform(-0.02, 0.02),
               (k / 2 == 0 ? 0.2 : -0.2) + random.uniform(-0.02, 0.02)};
    c.k1 = lens.k1;
    c.k2 = lens.k2;
    c.focal_share = lens.focal_share;
    c.background = lens.background;
    cameras.push_back(c);
  }
  const double px_per_mm = view_of(cameras[0], out.spec.size_mm, Side::front).px_per_mm;
  const synthetic::Board rendered =
      synthetic::render_board(out.spec, std::clamp(1.3 * px_per_mm, 1.0, 60.0));
  for (size_t k = 0; k < cameras.size(); ++k) {
    out.shots.push_back(synthetic::shot(rendered, cameras[k]));
    out.photos.push_back(photo_of(out.shots.back(), "part-" + std::to_string(k + 1)));
  }
  return out;
}

SeamError seam_error(const Joined& joined, const RenderedParts& parts) {
  SeamError e;
  const Polygon& outline = parts.shots[0].truth.outline_mm;
  for (int y = 0; y + 1 < joined.source.rows; ++y)
    for (int x = 0; x + 1 < joined.source.cols; ++x) {
      const int a = joined.source.at<uchar>(y, x);
      for (const int b : {joined.source.at<uchar>(y + 1, x), joined.source.at<uchar>(y, x + 1)}) {
        if (a == b || a == 0 || b == 0) continue;
        const cv::Point2d p(x, y);
        const auto at = [&](int photo) {
          return board_place(joined, parts, static_cast<size_t>(photo - 1), p);
        };
        const cv::Point2d ma = at(a), mb = at(b);
        if (!contains(outline, ma)) continue;
        const cv::Point2d right =
            board_place(joined, parts, static_cast<size_t>(a - 1), p + cv::Point2d(1, 0));
        const double off = cv::norm(ma - mb) / cv::norm(right - ma);
        e.rms_px += off * off;
        e.worst_px = std::max(e.worst_px, off);
        ++e.places;
      }
    }
  e.rms_px = std::sqrt(e.rms_px / std::max(1, e.places));
  return e;
}

std::optional<double> area_ratio(const Joined& joined, const RenderedParts& parts) {
  cv::Mat labels = cv::Mat::zeros(joined.bgr.size(), CV_8UC1);
  for (size_t i = 0; i < parts.shots.size(); ++i) {
    const cv::Mat seen = seen_through(parts.shots[i].truth.labels, labels.size(),
                                      PointMap(joined.photos[i].photo_from_joined),
                                      cv::INTER_NEAREST, cv::Scalar(0));
    seen.copyTo(labels, joined.source == static_cast<double>(i + 1));
  }
  const double w = parts.spec.size_mm.width, h = parts.spec.size_mm.height;
  RectifyOptions options;
  options.board_mm = cv::Size2d(w, h);
  for (const cv::Point2d corner :
       {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)})
    options.corners_px.push_back(joined_place(joined, parts, corner));
  const Rectification r = rectified_by_corners(joined.bgr.size(), options);
  const double truth = parts.shots[0].truth.residue_area_mm2();
  if (truth <= 0) return std::nullopt;
  return zone_table({labels, {}, {}, 1}, r, {}).total.affected.area.value / truth;
}

}  // namespace verdigrid
