#include "tests/measure/rendered_layout.h"

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "measure/polygon_rows.h"

namespace verdigrid {

namespace {

PartKind kind_of(synthetic::Kind kind) {
  switch (kind) {
    case synthetic::Kind::radial_can:
      return PartKind::aluminium_radial;
    case synthetic::Kind::smd_can:
      return PartKind::aluminium_smd;
    case synthetic::Kind::axial_can:
      return PartKind::aluminium_axial;
    case synthetic::Kind::barrel_battery:
    case synthetic::Kind::coin_battery:
      return PartKind::battery;
    case synthetic::Kind::dip:
    case synthetic::Kind::soic:
    case synthetic::Kind::plcc:
    case synthetic::Kind::qfp:
      return PartKind::ic;
    default:
      return PartKind::unknown;
  }
}

Part part_of(const synthetic::PlacedPart& placed) {
  Part p;
  p.designator = placed.designator;
  p.kind = kind_of(placed.kind);
  p.package = placed.package;
  p.centre = placed.centre_mm;
  p.rotation_deg = placed.rotation_deg;
  p.side = placed.side;
  p.body = placed.body_mm;
  p.shape = placed.is_round ? BodyShape::round : BodyShape::box;
  if (placed.is_polarised) p.negative_end = NegativeEnd::right;
  for (const synthetic::Pad& pad : pads_of(placed)) {
    const double mm2 = pad.size_mm.area() * (pad.is_round ? std::numbers::pi / 4 : 1);
    p.joints.push_back({std::to_string(pad.pin), pad.centre_mm,
                        std::sqrt(mm2 * 4 / std::numbers::pi), pad.is_through});
  }
  return p;
}

// Board picture px: (i, j) covers from origin + (i, j) / px_per_mm on.
Ring board_px(const synthetic::Board& board, const Ring& ring_mm) {
  Ring result;
  for (const cv::Point2d p : ring_mm)
    result.push_back((p - board.origin_mm) * board.px_per_mm - cv::Point2d(0.5, 0.5));
  return result;
}

Ring pad_ring(const synthetic::Pad& pad) {
  const double w = pad.size_mm.width / 2, h = pad.size_mm.height / 2;
  const double turn = pad.rotation_deg * std::numbers::pi / 180;
  Ring ring;
  const int n = pad.is_round ? 24 : 4;
  for (int i = 0; i < n; ++i) {
    const double a = (2 * i + 1) * std::numbers::pi / n;
    const cv::Point2d own =
        pad.is_round ? cv::Point2d(w * std::cos(a), h * std::sin(a))
                     : cv::Point2d(std::copysign(w, std::cos(a)), std::copysign(h, std::sin(a)));
    // Counter-clockwise as seen, y down.
    ring.push_back(pad.centre_mm + cv::Point2d(own.x * std::cos(turn) + own.y * std::sin(turn),
                                               own.y * std::cos(turn) - own.x * std::sin(turn)));
  }
  return ring;
}

}  // namespace

Layout layout_of(const synthetic::BoardSpec& spec, const synthetic::Board& board) {
  Layout layout = layout_over(board.outline_mm, true);
  layout.board_type = spec.title;
  for (const synthetic::PlacedPart& placed : spec.parts)
    if (spec.is_fitted(placed)) layout.parts.push_back(part_of(placed));
  for (const synthetic::RoundHole& hole : board.holes)
    layout.holes.push_back({hole.centre_mm, hole.diameter_mm, hole.is_plated});
  return layout;
}

double distance_to_residue_mm(const synthetic::Board& board, const synthetic::PlacedPart& part) {
  cv::Mat distance_px;  // to the nearest labelled pixel's centre
  cv::distanceTransform(board.labels == 0, distance_px, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  std::vector<Ring> shapes;
  if (part.side == board.spec.side) shapes.push_back(synthetic::body_ring(part));
  for (const synthetic::Pad& pad : pads_of(part))
    if (pad.is_through || part.side == board.spec.side) shapes.push_back(pad_ring(pad));
  double least = HUGE_VAL;
  for (const Ring& shape : shapes) {
    const PolygonRows rows({board_px(board, shape), {}}, board.labels.size());
    for (int y = rows.first_row(); y < rows.end_row(); ++y)
      for (const PixelSpan& s : rows.row(y))
        for (int x = s.first; x < s.end; ++x)
          least = std::min<double>(least, distance_px.at<float>(y, x));
  }
  return least / board.px_per_mm;
}

double residue_mm2_in(const synthetic::Board& board, const Polygon& polygon) {
  Polygon px{board_px(board, polygon.outer), {}};
  for (const Ring& hole : polygon.holes) px.holes.push_back(board_px(board, hole));
  const PolygonRows rows(px, board.labels.size());
  long n = 0;
  for (int y = rows.first_row(); y < rows.end_row(); ++y)
    for (const PixelSpan& s : rows.row(y))
      for (int x = s.first; x < s.end; ++x) n += board.labels.at<std::uint8_t>(y, x) != 0;
  return static_cast<double>(n) / (board.px_per_mm * board.px_per_mm);
}

}  // namespace verdigrid
