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

// Beyond what the photo can show the lens model may fold back, so shapes are cut to this box before
// they are distorted.
cv::Rect2d ideal_box(const Rectification& r, const cv::Matx33d& ideal_from_board) {
  if (!r.lens) return photo_rect(r.photo_size_px);
  const Ring border = in_pieces(frame_ring(r.photo_size_px), 4 * k_piece_px);
  return bounding_box(mapped(ideal_from_board, board_ring(r, border)));
}

}  // namespace

bool holds(const cv::Rect2d& box, cv::Point2d p) {
  return p.x >= box.x && p.y >= box.y && p.x <= box.x + box.width && p.y <= box.y + box.height;
}

Polygon measured_outline(const Rectification& r) {
  if (!r.outline_board.empty()) return r.outline_board;
  const Ring frame = frame_ring(r.photo_size_px);
  return {clockwise(board_ring(r, r.lens ? in_pieces(frame, k_piece_px) : frame)), {}};
}

PhotoShapes::PhotoShapes(const Rectification& r)
    : r_(r),
      ideal_from_board_(r.board_from_photo_px.inv()),
      frame_(photo_rect(r.photo_size_px)),
      ideal_box_(ideal_box(r, ideal_from_board_)) {}

Ring PhotoShapes::photo_ring(const Ring& ring_board) const {
  Ring ideal = mapped(ideal_from_board_, ring_board);
  if (r_.lens) {
    ideal = in_pieces(clipped(ideal, ideal_box_), k_piece_px);
    for (cv::Point2d& p : ideal) p = distorted_px(*r_.lens, p);
  }
  const cv::Rect2d box = bounding_box(ideal);
  if (ideal.size() >= 3 && holds(frame_, box.tl()) && holds(frame_, box.br())) return ideal;
  return clipped(ideal, frame_);
}

bool PhotoShapes::is_in_photo(const Ring& ring_board) const {
  Ring ideal = mapped(ideal_from_board_, ring_board);
  if (r_.lens) ideal = in_pieces(ideal, k_piece_px);
  return std::all_of(ideal.begin(), ideal.end(), [&](cv::Point2d p) {
    if (!holds(ideal_box_, p)) return false;
    return !r_.lens || holds(frame_, distorted_px(*r_.lens, p));
  });
}

Polygon PhotoShapes::photo_polygon(const Polygon& polygon_board) const {
  Polygon result{photo_ring(polygon_board.outer), {}};
  if (result.empty()) return {};
  for (const Ring& hole : polygon_board.holes) {
    Ring seen = photo_ring(hole);
    if (seen.size() >= 3) result.holes.push_back(std::move(seen));
  }
  return result;
}

Polygon PhotoShapes::part_in_photo(const Polygon& polygon_board) const {
  if (r_.outline_is_frame || is_in_photo(polygon_board.outer)) return polygon_board;
  const Polygon seen = photo_polygon(polygon_board);
  if (seen.empty()) return {};
  Polygon result{board_ring(r_, seen.outer), {}};
  for (const Ring& hole : seen.holes) result.holes.push_back(board_ring(r_, hole));
  return result;
}

}  // namespace verdigrid
