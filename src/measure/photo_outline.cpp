#include "measure/photo_outline.h"

#include <algorithm>
#include <cmath>

namespace verdigrid {

namespace {

// Pieces of a curved edge: a chord of 8 px under a phone's lens (second derivative below 2e-3 per
// px) leaves the curve by less than 8^2 / 8 * 2e-3 = 0.016 px.
constexpr double k_piece_px = 8;

cv::Rect2d photo_rect(cv::Size size) {
  return {-0.5, -0.5, static_cast<double>(size.width), static_cast<double>(size.height)};
}

Ring frame_ring(cv::Size size) {
  const cv::Rect2d r = photo_rect(size);
  return {r.tl(), {r.x + r.width, r.y}, r.br(), {r.x, r.y + r.height}};
}

Ring in_pieces(const Ring& ring, double piece) {
  Ring result;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d a = ring[i], b = ring[(i + 1) % ring.size()];
    const int n = std::max(1, static_cast<int>(std::ceil(cv::norm(b - a) / piece)));
    for (int k = 0; k < n; ++k) result.push_back(a + (b - a) * (static_cast<double>(k) / n));
  }
  return result;
}

Ring board_ring(const Rectification& r, const Ring& ring_px) {
  Ring result;
  for (const BoardPixel& b : board_pixels(r, ring_px)) result.push_back(b.p_board);
  return result;
}

// The ideal (undistorted) px that the photo can show, as a box. Beyond it the lens model may fold
// back, so shapes are cut to it before they are distorted.
cv::Rect2d ideal_box(const Rectification& r, const cv::Matx33d& ideal_from_board) {
  const Ring border = in_pieces(frame_ring(r.photo_size_px), 4 * k_piece_px);
  return bounding_box(mapped(ideal_from_board, board_ring(r, border)));
}

Ring photo_ring(const Rectification& r, const Ring& ring_board) {
  const cv::Matx33d ideal_from_board = r.board_from_photo_px.inv();
  Ring ideal = mapped(ideal_from_board, ring_board);
  if (r.lens) {
    ideal = in_pieces(clipped(ideal, ideal_box(r, ideal_from_board)), k_piece_px);
    for (cv::Point2d& p : ideal) p = photo_point(r, mapped(r.board_from_photo_px, p));
  }
  return clipped(ideal, photo_rect(r.photo_size_px));
}

}  // namespace

Polygon photo_polygon(const Rectification& r, const Polygon& polygon_board) {
  Polygon result{photo_ring(r, polygon_board.outer), {}};
  if (result.empty()) return {};
  for (const Ring& hole : polygon_board.holes) {
    Ring seen = photo_ring(r, hole);
    if (seen.size() >= 3) result.holes.push_back(std::move(seen));
  }
  return result;
}

Polygon measured_outline(const Rectification& r) {
  if (!r.outline_board.empty()) return r.outline_board;
  const Ring frame = frame_ring(r.photo_size_px);
  return {clockwise(board_ring(r, r.lens ? in_pieces(frame, k_piece_px) : frame)), {}};
}

Polygon part_in_photo(const Rectification& r, const Polygon& polygon_board) {
  const cv::Rect2d frame = photo_rect(r.photo_size_px);
  const cv::Matx33d ideal_from_board = r.board_from_photo_px.inv();
  Ring ideal = mapped(ideal_from_board, polygon_board.outer);
  if (r.lens) ideal = in_pieces(ideal, k_piece_px);
  const cv::Rect2d box = r.lens ? ideal_box(r, ideal_from_board) : frame;
  const bool all_seen = std::all_of(ideal.begin(), ideal.end(), [&](cv::Point2d p) {
    if (p.x < box.x || p.y < box.y || p.x > box.x + box.width || p.y > box.y + box.height)
      return false;
    const cv::Point2d seen = r.lens ? photo_point(r, mapped(r.board_from_photo_px, p)) : p;
    return seen.x >= frame.x && seen.y >= frame.y && seen.x <= frame.x + frame.width &&
           seen.y <= frame.y + frame.height;
  });
  if (all_seen || r.outline_is_frame) return polygon_board;
  const Polygon seen = photo_polygon(r, polygon_board);
  if (seen.empty()) return {};
  Polygon result{board_ring(r, seen.outer), {}};
  for (const Ring& hole : seen.holes) result.holes.push_back(board_ring(r, hole));
  return result;
}

}  // namespace verdigrid
