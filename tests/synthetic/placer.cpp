#include "synthetic/placer.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/geometry.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_step_mm = 1.27;
constexpr double k_gap_mm = 0.5;
constexpr int k_tries = 40;

double snapped(double v) { return std::round(v / k_step_mm) * k_step_mm; }

const char* letters_of(Kind k) {
  switch (k) {
    case Kind::radial_can:
    case Kind::smd_can:
    case Kind::axial_can:
    case Kind::tantalum_bead:
    case Kind::tantalum_smd:
    case Kind::film_capacitor:
    case Kind::disc_capacitor:
    case Kind::chip_capacitor:
      return "C";
    case Kind::barrel_battery:
    case Kind::coin_battery:
      return "BT";
    case Kind::chip_resistor:
    case Kind::resistor:
      return "R";
    case Kind::resistor_array:
      return "RN";
    case Kind::diode:
      return "D";
    case Kind::transistor:
      return "Q";
    case Kind::crystal:
    case Kind::oscillator:
      return "Y";
    case Kind::pin_header:
    case Kind::box_header:
    case Kind::power_connector:
    case Kind::edge_connector:
    case Kind::terminal_block:
      return "J";
    case Kind::dip_socket:
      return "XU";
    case Kind::trimmer:
      return "RV";
    case Kind::relay:
      return "K";
    case Kind::label:
      return "LB";
    default:
      return "U";
  }
}

}  // namespace

std::string Placer::next_designator(Kind kind) {
  const std::string letters = letters_of(kind);
  return fmt::format("{}{}", letters, ++counts_[letters]);
}

cv::Rect2d Placer::box_of(const PlacedPart& p) const {
  Ring points = body_ring(p);
  for (const Pad& pad : pads_of(p)) {
    const double r = std::max(pad.size_mm.width, pad.size_mm.height) / 2;
    points.push_back(pad.centre_mm - cv::Point2d{r, r});
    points.push_back(pad.centre_mm + cv::Point2d{r, r});
  }
  cv::Rect2d box = bounding_box(points);
  return {box.x - k_gap_mm, box.y - k_gap_mm, box.width + 2 * k_gap_mm, box.height + 2 * k_gap_mm};
}

bool Placer::is_free(const PlacedPart& p) const {
  const cv::Rect2d box = box_of(p);
  const bool at_edge = p.kind == Kind::edge_connector;
  if (!at_edge &&
      (box.x < 1 || box.y < 1 || box.br().x > size_.width - 1 || box.br().y > size_.height - 6))
    return false;
  for (const double x : {0.0, size_.width})
    for (const double y : {0.0, size_.height}) {
      const cv::Rect2d corner{x - 7, y - 7, 14, 14};
      if ((corner & box).area() > 0) return false;
    }
  const auto pads = pads_of(p);
  const bool is_through = !pads.empty() && pads[0].is_through;
  return std::none_of(taken_.begin(), taken_.end(), [&](const auto& t) {
    return (t.second == p.side || is_through) && (t.first & box).area() > 0;
  });
}

bool Placer::place(PlacedPart p) {
  if (!is_free(p)) return false;
  p.designator = next_designator(p.kind);
  p.seed = random_.bits();
  const cv::Rect2d box = box_of(p);
  taken_.emplace_back(box, p.side);
  const auto pads = pads_of(p);
  if (!pads.empty() && pads[0].is_through)
    taken_.emplace_back(box, p.side == Side::front ? Side::back : Side::front);
  parts_.push_back(std::move(p));
  return true;
}

bool Placer::add(Kind kind, Side side) {
  return add(kind, random_.pick(package_names(kind)), side);
}

bool Placer::add(Kind kind, const std::string& package, Side side) {
  for (int i = 0; i < k_tries; ++i) {
    const cv::Point2d at{snapped(random_.uniform(4, size_.width - 4)),
                         snapped(random_.uniform(4, size_.height - 8))};
    const bool is_chip =
        kind == Kind::dip || kind == Kind::plcc || kind == Kind::qfp || kind == Kind::dip_socket;
    const double turn = is_chip ? (random_.chance(0.75) ? 0 : 90) : 90 * random_.whole(0, 3);
    if (place(part(kind, package, "", at, turn, side))) return true;
  }
  return false;
}

void Placer::add_block(Kind kind, const std::string& package, int columns, int rows) {
  const bool is_upright = random_.chance(0.4);
  const PlacedPart sample = part(kind, package, "", {0, 0}, is_upright ? 90 : 0);
  const cv::Rect2d box = box_of(sample);
  const double dx = snapped(box.width + random_.uniform(0.8, 3.5)),
               dy = snapped(box.height + random_.uniform(0.8, 3));
  for (int tries = 0; tries < 12; ++tries) {
    const cv::Point2d at{snapped(random_.uniform(8, std::max(9.0, size_.width - dx * columns))),
                         snapped(random_.uniform(6, std::max(7.0, size_.height - dy * rows)))};
    int placed = 0;
    for (int r = 0; r < rows; ++r)
      for (int k = 0; k < columns; ++k) {
        PlacedPart p = sample;
        p.centre_mm = at + cv::Point2d{k * dx, r * dy};
        placed += place(std::move(p));
      }
    if (placed > 0) return;
  }
}

bool Placer::add_at_edge(Kind kind, const std::string& package) {
  for (int i = 0; i < k_tries; ++i) {
    const int edge = random_.whole(0, 2);  // top, left, right
    PlacedPart p = part(kind, package, "", {0, 0}, edge == 0 ? 0 : edge == 1 ? 90 : 270);
    const double in =
        kind == Kind::edge_connector ? p.body_mm.height * 0.12 : p.body_mm.height / 2 + 1.5;
    const double along = edge == 0 ? random_.uniform(0.15, 0.85) * size_.width
                                   : random_.uniform(0.15, 0.85) * size_.height;
    p.centre_mm = edge == 0   ? cv::Point2d{snapped(along), in}
                  : edge == 1 ? cv::Point2d{in, snapped(along)}
                              : cv::Point2d{size_.width - in, snapped(along)};
    if (place(std::move(p))) return true;
  }
  return false;
}

bool Placer::add_near(Kind kind, const std::string& package, const PlacedPart& other) {
  const cv::Rect2d box = box_of(other);
  for (int i = 0; i < 6; ++i) {
    const bool is_beside = random_.chance(0.5);
    PlacedPart p = part(kind, package, "", {0, 0}, is_beside ? 90 : 0);
    const cv::Rect2d own = box_of(p);
    const double sx = random_.chance(0.5) ? 1 : -1;
    const cv::Point2d middle = (box.tl() + box.br()) / 2;
    p.centre_mm = is_beside ? middle + cv::Point2d{sx * (box.width + own.width + 0.4) / 2,
                                                   random_.uniform(-0.3, 0.3) * box.height}
                            : middle + cv::Point2d{random_.uniform(-0.3, 0.3) * box.width,
                                                   sx * (box.height + own.height + 0.4) / 2};
    if (place(std::move(p))) return true;
  }
  return false;
}

}  // namespace verdigrid::synthetic
