#include "synthetic/board.h"

#include <map>
#include <numeric>

#include "base/error.h"
#include "synthetic/layers.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_margin_mm = 8;  // connectors stand over the edge

Canvas blank_canvas(const BoardSpec& spec, double px_per_mm) {
  Canvas c;
  c.px_per_mm = px_per_mm;
  c.is_mirrored = spec.side == Side::back;
  c.board_width_mm = spec.size_mm.width;
  const cv::Size size{
      static_cast<int>(std::ceil((spec.size_mm.width + 2 * k_margin_mm) * px_per_mm)),
      static_cast<int>(std::ceil((spec.size_mm.height + 2 * k_margin_mm) * px_per_mm))};
  // The same margin left and right, so that mirroring keeps the origin.
  c.origin_mm = {(spec.size_mm.width - size.width / px_per_mm) / 2,
                 (spec.size_mm.height - size.height / px_per_mm) / 2};
  c.albedo = cv::Mat(size, CV_16UC3, cv::Scalar::all(0));
  c.finish = cv::Mat(size, CV_8UC2, cv::Scalar::all(0));
  c.height_mm = cv::Mat(size, CV_32FC1, cv::Scalar::all(0));
  c.labels = cv::Mat(size, CV_8UC1, cv::Scalar::all(0));
  return c;
}

Polygon rounded_outline(const BoardSpec& spec) {
  const double r = spec.corner_mm, w = spec.size_mm.width, h = spec.size_mm.height;
  if (r <= 0) return {{{0, 0}, {w, 0}, {w, h}, {0, h}}, {}};
  Polygon p;
  const cv::Point2d centres[]{{w - r, r}, {w - r, h - r}, {r, h - r}, {r, r}};
  for (int q = 0; q < 4; ++q)
    for (int i = 0; i <= 8; ++i) {
      const double a = (q - 1) * CV_PI / 2 + i * CV_PI / 16;
      p.outer.push_back(centres[q] + r * cv::Point2d(std::cos(a), std::sin(a)));
    }
  return p;
}

void paint_all(Canvas& c, const BoardSpec& spec, const Art& art) {
  paint_ground(c, spec, art);
  paint_joints(c, spec);
  for (const Deposit& d : spec.deposits) paint_low_deposit(c, spec, art, d);
  paint_flux(c, spec);
  for (const PlacedPart& p : spec.parts)
    if (p.side == spec.side && spec.is_fitted(p)) paint_part(c, spec, p);
  for (const Deposit& d : spec.deposits) paint_high_deposit(c, spec, art, d);
  paint_dirt(c, spec);
}

// Labels past the outline are no residue of the board.
void clear_outside(Board& b) {
  for (int y = 0; y < b.labels.rows; ++y)
    for (int x = 0; x < b.labels.cols; ++x) {
      const cv::Point2d p = b.origin_mm + cv::Point2d{x + 0.5, y + 0.5} / b.px_per_mm;
      const cv::Size2d half{b.spec.size_mm.width / 2, b.spec.size_mm.height / 2};
      if (box_distance(p - cv::Point2d{half.width, half.height}, half, b.spec.corner_mm) > 0)
        b.labels.at<uchar>(y, x) = 0;
    }
}

void add_areas(Board& b) {
  const double px_mm2 = 1 / (b.px_per_mm * b.px_per_mm);
  b.grid = grid_over(bounding_box(b.outline_mm.outer), true);
  for (int r = 0; r < b.grid.rows; ++r)
    for (int k = 0; k < b.grid.columns; ++k)
      b.squares.push_back(
          {square_name(r, k), area(clipped(b.outline_mm, square_rect(b.grid, r, k))), {}});
  for (int y = 0; y < b.labels.rows; ++y)
    for (int x = 0; x < b.labels.cols; ++x) {
      const int id = b.labels.at<uchar>(y, x);
      if (id == 0) continue;
      const cv::Point2d p = b.origin_mm + cv::Point2d{x + 0.5, y + 0.5} / b.px_per_mm;
      const int k = std::min(static_cast<int>(p.x / b.grid.square_width()), b.grid.columns - 1),
                r = std::min(static_cast<int>(p.y / b.grid.square_height()), b.grid.rows - 1);
      b.area_mm2[static_cast<size_t>(id)] += px_mm2;
      b.squares[static_cast<size_t>(r * b.grid.columns + k)].by_class[static_cast<size_t>(id)] +=
          px_mm2;
    }
}

bool is_in_pad(const Pad& pad, cv::Point2d p) {
  const double a = pad.rotation_deg * CV_PI / 180;
  const cv::Point2d q = LocalFrame{pad.centre_mm, std::cos(a), std::sin(a)}.local(p);
  return pad.is_round
             ? cv::norm(q) <= pad.size_mm.width / 2
             : std::abs(q.x) <= pad.size_mm.width / 2 && std::abs(q.y) <= pad.size_mm.height / 2;
}

AreaByClass residue_on(const Board& b, const PlacedPart& part) {
  AreaByClass areas{};
  const std::vector<Pad> pads = pads_of(part);
  const Polygon body{part.side == b.spec.side ? body_ring(part) : Ring{}, {}};
  double reach = std::hypot(part.body_mm.width, part.body_mm.height) / 2;
  for (const Pad& pad : pads) reach = std::max(reach, cv::norm(pad.centre_mm - part.centre_mm) + 2);
  const double px_mm2 = 1 / (b.px_per_mm * b.px_per_mm);
  const auto edge = [&](double mm, double origin) {
    return static_cast<int>((mm - origin) * b.px_per_mm);
  };
  const cv::Rect box = cv::Rect(edge(part.centre_mm.x - reach, b.origin_mm.x),
                                edge(part.centre_mm.y - reach, b.origin_mm.y),
                                static_cast<int>(2 * reach * b.px_per_mm) + 2,
                                static_cast<int>(2 * reach * b.px_per_mm) + 2) &
                       cv::Rect({0, 0}, b.labels.size());
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x) {
      const int id = b.labels.at<uchar>(y, x);
      if (id == 0) continue;
      const cv::Point2d p = b.origin_mm + cv::Point2d{x + 0.5, y + 0.5} / b.px_per_mm;
      const bool is_on =
          contains(body, p) || std::any_of(pads.begin(), pads.end(), [&](const Pad& pad) {
            return (pad.is_through || part.side == b.spec.side) && is_in_pad(pad, p);
          });
      if (is_on) areas[static_cast<size_t>(id)] += px_mm2;
    }
  return areas;
}

void add_reached(Board& b) {
  for (const PlacedPart& part : b.spec.parts) {
    if (!b.spec.is_fitted(part)) continue;
    const AreaByClass areas = residue_on(b, part);
    if (std::accumulate(areas.begin(), areas.end(), 0.0) > 0)
      b.reached.push_back({part.designator, areas});
  }
}

void add_holes(Board& b, const Art& art) {
  b.holes = art.holes;
  for (const Via& v : art.vias) b.holes.push_back({v.centre_mm, v.drill_mm, true});
}

}  // namespace

double Board::residue_area_mm2() const {
  return std::accumulate(area_mm2.begin(), area_mm2.end(), 0.0);
}

Board render_board(const BoardSpec& spec, double px_per_mm) {
  spec.check();
  if (!(px_per_mm >= 1 && px_per_mm <= 60))
    throw Error(ErrorKind::wrong_use, "A board is rendered at 1 to 60 px per mm; ask for that.");
  Canvas c = blank_canvas(spec, px_per_mm);
  const Art art = art_of(spec);
  paint_all(c, spec, art);
  Board b;
  b.spec = spec;
  b.px_per_mm = px_per_mm;
  b.origin_mm = c.origin_mm;
  if (c.is_mirrored)
    for (cv::Mat* m : {&c.albedo, &c.finish, &c.height_mm, &c.labels}) cv::flip(*m, *m, 1);
  b.albedo = c.albedo;
  b.finish = c.finish;
  b.height_mm = c.height_mm;
  b.labels = c.labels;
  b.outline_mm = rounded_outline(spec);
  clear_outside(b);
  add_areas(b);
  add_reached(b);
  add_holes(b, art);
  return b;
}

ChangeTruth change_between(const Board& before, const Board& after) {
  require(before.labels.size() == after.labels.size() && before.px_per_mm == after.px_per_mm,
          "change is between two renderings of one size and scale");
  ChangeTruth t;
  const double px_mm2 = 1 / (before.px_per_mm * before.px_per_mm);
  for (int y = 0; y < before.labels.rows; ++y)
    for (int x = 0; x < before.labels.cols; ++x) {
      const bool was = before.labels.at<uchar>(y, x) != 0, is = after.labels.at<uchar>(y, x) != 0;
      if (was && is) t.remaining_mm2 += px_mm2;
      if (was && !is) t.removed_mm2 += px_mm2;
      if (!was && is) t.new_mm2 += px_mm2;
    }
  for (const PlacedPart& p : before.spec.parts) {
    const bool was = before.spec.is_fitted(p), is = after.spec.is_fitted(p);
    if (was && !is) t.parts_gone.push_back(p.designator);
    if (!was && is) t.parts_added.push_back(p.designator);
  }
  return t;
}

}  // namespace verdigrid::synthetic
