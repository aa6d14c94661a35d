// The ways that know the board's size.
#include <fmt/format.h>

#include <cmath>

#include "base/error.h"
#include "rectify/frame.h"
#include "rectify/main_sides.h"
#include "rectify/way_parts.h"

namespace verdigrid {

namespace {

// A measured board and its picture may differ this much in width : height before something is
// wrong (outline, size or turn); perspective under an unknown focal length takes up to 4 %.
constexpr double k_aspect_noted = 0.05, k_aspect_refused = 0.15;

double size_rel_sd(cv::Size2d board_mm, double sd_mm) {
  return 0.5 * std::hypot(sd_mm / board_mm.width, sd_mm / board_mm.height);
}

// Natural logarithm of how far the seen width : height is from the measured one.
double check_aspect(Rectification& r, const Quad& seen_px, const RectifyOptions& options) {
  const cv::Size2d mm = *options.board_mm;
  const double seen_aspect = aspect_of(seen_px, camera_of(r.photo_size_px, options));
  const double off = std::abs(std::log(seen_aspect / (mm.width / mm.height)));
  const double off_turned = std::abs(std::log(seen_aspect / (mm.height / mm.width)));
  if (off > std::log1p(k_aspect_refused) && off_turned < std::log1p(k_aspect_noted))
    throw Error(
        ErrorKind::bad_input,
        fmt::format("The board lies {} in the photo, but its size was given as {:g}x{:g} mm; "
                    "give width x height as seen ({:g}x{:g}) or turn the photo by 90 or 270 "
                    "degrees.",
                    seen_aspect > 1 ? "across" : "upright", mm.width, mm.height, mm.height,
                    mm.width));
  const std::string sentence = fmt::format(
      "The board's outline in the photo is {:.3f} times as wide as high, its measured size {:.3f} "
      "times",
      seen_aspect, mm.width / mm.height);
  if (off > std::log1p(k_aspect_refused))
    throw Error(ErrorKind::no_result,
                sentence +
                    ": the outline or the size is wrong. Measure over everything, connector "
                    "tongue included, or give the four corners by hand.");
  if (off > std::log1p(k_aspect_noted)) r.remarks.push_back(sentence + "; check the size.");
  return off;
}

void set_by_size(Rectification& r, const Quad& seen_px, const Polygon& outline_px,
                 const RectifyOptions& options) {
  set_frame(r, board_from_seen_corners(seen_px, r.side, *options.board_mm), outline_px);
  r.tilt_deg = tilt_deg_of(r.board_from_photo_px, camera_of(r.photo_size_px, options));
}

}  // namespace

Rectification rectified_by_outline(cv::Size photo_size_px, const Outline& outline,
                                   const RectifyOptions& options) {
  require(options.board_mm.has_value(), "the board's size is given");
  Rectification r = started(photo_size_px, options, ScaleWay::board_size_outline);
  const Ring ring = undistorted_ring(options.lens, outline.px.outer);
  const auto corners = options.lens ? main_sides(ring) : std::optional<Quad>(outline.corners_px);
  if (!corners)
    throw Error(ErrorKind::no_result,
                "The outline found has no four main sides; give the four corners by hand.");
  const Quad seen = seen_corners(*corners, photo_size_px, r.turn_deg);
  r.edge_sd_px = outline.edge_sd_px;
  // One side taken wrongly (a plug for the edge) shows as a wrong shape; lengths are off by half.
  const double shape = check_aspect(r, seen, options) / 2;
  set_by_size(r, seen, outline.px, options);
  const double edges = log_scale_sd(4, outline.edge_sd_px, centre_of(ring), [&](int i, double px) {
    return board_from_seen_corners(with_side_moved(seen, i, px), r.side, *options.board_mm);
  });
  set_scale(r, std::hypot(edges, size_rel_sd(*options.board_mm, options.board_mm_sd), shape));
  return r;
}

Rectification rectified_by_corners(cv::Size photo_size_px, const RectifyOptions& options) {
  require(options.board_mm.has_value(), "the board's size is given");
  const Outline drawn = drawn_outline(options);
  Rectification r = started(photo_size_px, options, ScaleWay::board_size_corners);
  r.edge_sd_px = drawn.edge_sd_px;
  const Ring ring = undistorted_ring(options.lens, drawn.px.outer);
  // As given, a board may lie at any slant; after a turn the photo as seen decides.
  const Quad given{ring[0], ring[1], ring[2], ring[3]};
  const Quad seen = r.turn_deg == 0 ? given : seen_corners(given, photo_size_px, r.turn_deg);
  check_aspect(r, seen, options);
  set_by_size(r, seen, drawn.px, options);
  const double placed =
      log_scale_sd(8, options.corner_sd_px, centre_of(ring), [&](int i, double px) {
        Quad moved = seen;
        const auto k = static_cast<size_t>(i / 2);
        (i % 2 ? moved[k].y : moved[k].x) += px;
        return board_from_seen_corners(moved, r.side, *options.board_mm);
      });
  set_scale(r, std::hypot(placed, size_rel_sd(*options.board_mm, options.board_mm_sd)));
  return r;
}

}  // namespace verdigrid
