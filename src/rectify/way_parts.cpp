#include "rectify/way_parts.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "rectify/frame.h"
#include "rectify/main_sides.h"

namespace verdigrid {

Rectification started(cv::Size photo_size_px, const RectifyOptions& options, ScaleWay way) {
  Rectification r;
  r.way = way;
  r.side = options.side;
  r.turn_deg = options.turn_deg;
  r.photo_size_px = photo_size_px;
  r.lens = options.lens;
  return r;
}

Outline drawn_outline(const RectifyOptions& options) {
  require(options.corners_px.size() == 4, "four corners are given");
  Outline outline;
  outline.px.outer = options.corners_px;
  std::copy(options.corners_px.begin(), options.corners_px.end(), outline.corners_px.begin());
  outline.confidence = 1;
  outline.edge_sd_px = options.corner_sd_px;
  return outline;
}

Ring undistorted_ring(const std::optional<Lens>& lens, const Ring& ring_px) {
  if (!lens) return ring_px;
  Ring ring;
  for (const cv::Point2d p : ring_px) ring.push_back(undistorted_px(*lens, p));
  return ring;
}

cv::Matx33d camera_of(cv::Size photo_size_px, const RectifyOptions& options) {
  if (options.lens) return options.lens->camera;
  return assumed_camera(photo_size_px, options.focal_px.value_or(assumed_focal_px(photo_size_px)));
}

void set_frame(Rectification& r, const cv::Matx33d& board_from_photo_px,
               const Polygon& outline_px) {
  Ring board = mapped(board_from_photo_px, undistorted_ring(r.lens, outline_px.outer));
  const cv::Point2d origin = bounding_box(board).tl();
  for (cv::Point2d& p : board) p -= origin;
  r.board_from_photo_px =
      cv::Matx33d(1, 0, -origin.x, 0, 1, -origin.y, 0, 0, 1) * board_from_photo_px;
  r.outline_px = {clockwise(outline_px.outer), {}};
  r.outline_board = {clockwise(board), {}};
}

void set_scale(Rectification& r, double length_rel_sd) {
  const cv::Point2d centre = centre_of(r.outline_px.outer);
  const double px_per_mm = 1 / std::sqrt(pixel_area_board(r, centre));
  const double half = k_95 * length_rel_sd;
  r.length_rel_sd = length_rel_sd;
  r.px_per_mm = Interval{px_per_mm, px_per_mm / (1 + half), px_per_mm * (1 + half)};
}

Polygon frame_polygon(cv::Size photo_size_px) {
  const double right = photo_size_px.width - 0.5, bottom = photo_size_px.height - 0.5;
  return {{{-0.5, -0.5}, {right, -0.5}, {right, bottom}, {-0.5, bottom}}, {}};
}

double log_scale_sd(int parameters, double sd, cv::Point2d p_px,
                    const std::function<cv::Matx33d(int, double)>& moved) {
  const double step = std::max(sd, 1e-3) / 4;  // small against the error, large against rounding
  double variance = 0;
  for (int i = 0; i < parameters; ++i) {
    const double high = 0.5 * std::log(local_area_scale(moved(i, step), p_px));
    const double low = 0.5 * std::log(local_area_scale(moved(i, -step), p_px));
    const double slope = (high - low) / (2 * step);
    variance += slope * slope * sd * sd;
  }
  return std::sqrt(variance);
}

Quad with_side_moved(const Quad& corners_px, int i, double outwards_px) {
  const auto at = [&](int k) { return corners_px[static_cast<size_t>((i + k + 4) % 4)]; };
  const cv::Point2d side = at(1) - at(0);
  const double length = std::hypot(side.x, side.y);
  const cv::Point2d outwards = cv::Point2d(side.y, -side.x) * (outwards_px / length);
  // Each end slides along its neighbouring side until it lies on the moved line.
  const auto slid = [&](cv::Point2d end, cv::Point2d along) {
    return end + along * (outwards.dot(outwards) / along.dot(outwards));
  };
  Quad moved = corners_px;
  if (outwards_px != 0) {
    moved[static_cast<size_t>(i)] = slid(at(0), at(0) - at(-1));
    moved[static_cast<size_t>((i + 1) % 4)] = slid(at(1), at(1) - at(2));
  }
  return moved;
}

cv::Matx33d unscaled_frame(cv::Size photo_size_px, const Polygon& outline_px,
                           const RectifyOptions& options) {
  const Ring ring = undistorted_ring(options.lens, outline_px.outer);
  const auto corners = main_sides(ring);
  if (!corners) {
    const cv::Matx33d turn = turned_from_photo_px(photo_size_px, options.turn_deg);
    const double flip = options.side == Side::back ? -1 : 1;
    return cv::Matx33d(flip, 0, 0, 0, 1, 0, 0, 0, 1) * turn;
  }
  const Quad seen = seen_corners(*corners, photo_size_px, options.turn_deg);
  const double aspect = aspect_of(seen, camera_of(photo_size_px, options));
  const cv::Matx33d unit = board_from_seen_corners(seen, options.side, {aspect, 1});
  const double scale = 1 / std::sqrt(local_area_scale(unit, centre_of(ring)));
  return cv::Matx33d(scale, 0, 0, 0, scale, 0, 0, 0, 1) * unit;
}

}  // namespace verdigrid
