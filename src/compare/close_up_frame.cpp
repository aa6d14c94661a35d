#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "compare/close_up.h"
#include "compare/close_up_search.h"
#include "compare/other_side.h"

namespace verdigrid {

namespace {

constexpr int k_lattice = 6;

// The board's outline in px of the close-up, cut to it; empty when it shows no board or the photo's
// outline is not known.
Polygon board_seen(const CloseUpPlace& place, const Rectification& photo) {
  if (photo.outline_is_frame || photo.outline_px.empty()) return {};
  // Cut near the close-up first: far from it its view may not hold.
  cv::Rect2d near = bounding_box(place.outline_px);
  near -= cv::Point2d(near.width, near.height) / 4;
  near += cv::Size2d(near.width, near.height) / 2.0;
  const Polygon there = mapped(place.photo_from_close_up.inv(), clipped(photo.outline_px, near));
  const cv::Size size = place.close_up_size_px;
  Polygon seen = clipped(there, cv::Rect2d(-0.5, -0.5, size.width, size.height));
  seen.outer = clockwise(std::move(seen.outer));
  return seen;
}

}  // namespace

Rectification close_up_rectification(const CloseUpPlace& place, const Rectification& photo) {
  if (place.photo_size_px != photo.photo_size_px)
    throw Error(
        ErrorKind::bad_input,
        "The close-up was placed on a photo of another size than the one that is straightened; "
        "use that very photo.");
  const cv::Size size = place.close_up_size_px;
  std::vector<PointPair> pairs;
  for (int y = 0; y < k_lattice; ++y)
    for (int x = 0; x < k_lattice; ++x) {
      const cv::Point2d p{x * (size.width - 1.0) / (k_lattice - 1),
                          y * (size.height - 1.0) / (k_lattice - 1)};
      pairs.push_back({p, board_point(photo, mapped(place.photo_from_close_up, p)), 1});
    }
  Rectification r;
  r.way = photo.way;
  r.side = photo.side;
  r.photo_size_px = size;
  r.turn_deg =
      (static_cast<int>(std::lround((photo.turn_deg - place.turn_deg) / 90)) * 90 % 360 + 360) %
      360;
  r.board_from_photo_px = warp_by_hand(pairs).second_from_first;
  r.edge_sd_px = std::max(photo.edge_sd_px, place.rms_px.value) * place.scale;
  r.outline_px = board_seen(place, photo);
  r.outline_is_frame = photo.outline_is_frame || r.outline_px.empty();
  if (r.outline_is_frame) r.outline_px = {frame_through(cv::Matx33d::eye(), size), {}};
  r.outline_board = r.outline_px;
  for (cv::Point2d& p : r.outline_board.outer) p = board_point(r, p);
  for (Ring& hole : r.outline_board.holes)
    for (cv::Point2d& p : hole) p = board_point(r, p);
  r.outline_board.outer = clockwise(std::move(r.outline_board.outer));
  if (photo.has_scale()) {
    const double on_photo_px = std::min(size.width, size.height) / place.scale;
    r.length_rel_sd = std::hypot(photo.length_rel_sd, place.rms_px.value / on_photo_px);
    const double scale = 1 / std::sqrt(pixel_area_board(r, {size.width / 2.0, size.height / 2.0})),
                 half = 1.96 * r.length_rel_sd;
    r.px_per_mm = Interval{scale, scale * (1 - half), scale * (1 + half)};
  }
  return r;
}

}  // namespace verdigrid
