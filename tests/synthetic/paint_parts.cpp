// Metal cans, headers, connectors, boxes, labels; and which part takes which look.
#include "synthetic/paint_parts.h"

#include "synthetic/layers.h"

namespace verdigrid::synthetic {

std::string part_mark(Random& r, int length) {
  constexpr std::string_view letters = "ABCDEFHKLMNPRSTVXYZ";
  std::string s;
  const int lead = std::min(length - 1, r.whole(1, 3));
  for (int i = 0; i < length; ++i)
    s += i < lead ? letters[static_cast<size_t>(r.whole(0, 18))]
                  : static_cast<char>('0' + r.whole(0, 9));
  return s;
}

Surface lead_metal(Random& r) { return {linear_bgr(Lab{r.uniform(50, 68), 0.2, 3}), 0.6f, 1}; }

void paint_metal_can(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  const Surface metal{linear_bgr(Lab{r.uniform(58, 72), 0, 4}), 0.6f, 1},
      ink{linear_bgr(Lab{18, 0, 0}), 0.2f, 0};
  const double radius = p.kind == Kind::oscillator ? 0.8 : h / 2;
  if (p.kind == Kind::crystal && h < 3) {
    b.lying({-w / 2, 0}, {w / 2, 0}, h / 2, metal, h / 2);
    return;
  }
  b.box({0, 0}, {w, h}, radius, {metal.bgr * 0.85f, 0.5f, 1}, 0.9, 0.1);
  b.box({0, 0}, {w - 1, h - 1}, radius - 0.4, metal, p.height_mm, 0.5);
  b.mark_text(part_mark(r, 6), {0, 0}, std::min(h * 0.3, 1.8), ink, 0.7);
}

void paint_header(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  const Surface plastic{linear_bgr(Lab{r.uniform(10, 18), 0, 0}), 0.3f, 0};
  const Surface pin{linear_bgr(r.chance(0.6) ? Lab{70, 5, 34} : Lab{72, 0, 2}), 0.6f, 1};
  const bool is_box = p.kind == Kind::box_header;
  if (is_box) {
    b.box({0, 0}, {w, h}, 0.3, plastic, p.height_mm, 0.2);
    b.box({0, 0}, {w - 2.4, h - 2.4}, 0.1, {plastic.bgr * 0.6f, 0.2f, 0}, 2.0, 0);
    b.box({0, h / 2 - 0.6}, {4.5, 1.3}, 0.1, {plastic.bgr * 0.6f, 0.2f, 0}, 2.0, 0);
  } else {
    b.box({0, 0}, {w, h}, 0.3, plastic, 2.5, 0.4);
  }
  const bool is_double = h > 4;
  const int columns = is_double ? p.pins / 2 : p.pins;
  for (int i = 0; i < p.pins; ++i) {
    const double x = (i % columns - (columns - 1) / 2.0) * 2.54;
    const double y = is_double ? (i / columns == 0 ? 1.27 : -1.27) : 0;
    b.box({x, y}, {0.64, 0.64}, 0.1, pin, is_box ? 8 : p.height_mm, 0.15);
  }
}

namespace {

void paint_d_shell(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  const Surface iron{linear_bgr(Lab{60, 0, 4}), 0.55f, 1},
      black{linear_bgr(Material::black_plastic), 0.25f, 0};
  b.box({0, -h * 0.12}, {w, h * 0.62}, 0.4, iron, p.height_mm * 0.8, 0.4);
  b.box({0, -h * 0.45}, {w * 0.62, h * 0.5}, 0.8, iron, p.height_mm * 0.95, 1.2);
  b.box({0, h * 0.3}, {w * 0.9, h * 0.4}, 0.3, black, p.height_mm * 0.9, 0.3);
  for (const double x : {-w * 0.42, w * 0.42})
    b.disc({x, -h * 0.2}, 2.0, lead_metal(r), p.height_mm * 0.9, 0.5);
}

}  // namespace

void paint_connector(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  if (p.kind == Kind::edge_connector) return paint_d_shell(b, p, r);
  if (p.kind == Kind::power_connector) {
    const Surface nylon{linear_bgr(Lab{86, 0, r.uniform(4, 14)}), 0.35f, 0};
    b.box({0, 0}, {w, h}, 0.4, nylon, p.height_mm * 0.35, 0.3);
    b.box({0, h * 0.38}, {w, h * 0.22}, 0.3, nylon, p.height_mm, 0.3);
    for (int i = 0; i < p.pins; ++i)
      b.box({(i - (p.pins - 1) / 2.0) * 3.96, 0}, {1.1, 1.1}, 0.15, lead_metal(r), p.height_mm,
            0.2);
    return;
  }
  const int c[][3]{{26, 120, 60}, {30, 90, 150}, {24, 130, 120}};
  const auto& k = c[r.whole(0, 2)];
  const Surface plastic{linear_bgr_of_srgb(k[0], k[1], k[2]), 0.35f, 0};
  b.box({0, 0}, {w, h}, 0.3, plastic, p.height_mm, 0.4);
  b.box({0, -h * 0.38}, {w, h * 0.24}, 0.1, {plastic.bgr * 0.7f, 0.3f, 0}, p.height_mm * 0.7, 0.2);
  for (int i = 0; i < p.pins; ++i) {
    const cv::Point2d at{(i - (p.pins - 1) / 2.0) * 5.08, h * 0.08};
    const Surface screw = lead_metal(r);
    b.disc(at, 1.9, screw, p.height_mm - 0.6, 0.2);
    const double a = r.uniform(0, CV_PI);
    const cv::Point2d d{1.6 * std::cos(a), 1.6 * std::sin(a)};
    b.wire(at - d, at + d, 0.5, {screw.bgr * 0.2f, 0.2f, 0}, p.height_mm - 1);
  }
}

void paint_box_part(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  if (p.kind == Kind::trimmer) {
    b.box({0, 0}, {w, h}, 0.2, {linear_bgr_of_srgb(34, 80, 160), 0.35f, 0}, p.height_mm, 0.2);
    b.disc({-w * 0.34, 0}, 1.1, {linear_bgr(Lab{66, 4, 40}), 0.6f, 1}, p.height_mm + 0.6, 0.2);
    return;
  }
  const Surface body{linear_bgr(r.chance(0.5) ? Lab{18, 0, 0} : Lab{40, -4, -30}), 0.4f, 0};
  b.box({0, 0}, {w, h}, 0.5, body, p.height_mm, 0.4);
  const Surface ink{linear_bgr(Lab{80, 0, 0}), 0.2f, 0};
  b.mark_text(part_mark(r, 7), {0, -h * 0.2}, 1.6, ink, 0.8);
  b.mark_text(part_mark(r, 5), {0, h * 0.15}, 1.4, ink, 0.8);
}

void paint_label(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  const Lab tone = r.chance(0.7)   ? Lab{92, 0, 3}
                   : r.chance(0.5) ? Lab{84, -6, 60}
                                   : Lab{78, -30, 30};
  b.box({0, 0}, {w, h}, 0.3, {linear_bgr(tone), 0.15f, 0}, p.height_mm, 0);
  const Surface ink{linear_bgr(Lab{14, 0, 0}), 0.1f, 0};
  double x = -w * 0.42;
  while (x < w * 0.42) {
    const double bar = r.uniform(0.15, 0.6);
    b.mark_box({x + bar / 2, -h * 0.18}, {bar, h * 0.42}, ink, 0.9);
    x += bar + r.uniform(0.2, 0.6);
  }
  b.mark_text(part_mark(r, 8), {0, h * 0.25}, h * 0.24, ink, 0.9);
}

void paint_part(Canvas& canvas, const BoardSpec& spec, const PlacedPart& p) {
  // Most parts of a type look alike in every unit; some come from another maker.
  const bool is_other_make = Random(mixed(spec.unit_seed, p.seed)).chance(0.25);
  Random r(mixed(is_other_make ? mixed(spec.unit_seed, p.seed) : p.seed, 40));
  Brush b(canvas, frame_of(canvas, p));
  switch (p.kind) {
    case Kind::radial_can:
      return paint_radial_can(b, p, r);
    case Kind::smd_can:
      return paint_smd_can(b, p, r);
    case Kind::axial_can:
      return paint_axial_can(b, p, r);
    case Kind::tantalum_bead:
    case Kind::tantalum_smd:
      return paint_tantalum(b, p, r);
    case Kind::barrel_battery:
      return paint_barrel_battery(b, p, r);
    case Kind::coin_battery:
      return paint_coin_battery(b, p, r);
    case Kind::film_capacitor:
    case Kind::disc_capacitor:
      return paint_small_capacitor(b, p, r);
    case Kind::chip_capacitor:
    case Kind::chip_resistor:
    case Kind::resistor:
    case Kind::resistor_array:
    case Kind::diode:
    case Kind::transistor:
      return paint_passive(b, p, r);
    case Kind::dip:
    case Kind::soic:
    case Kind::plcc:
    case Kind::qfp:
      return paint_chip(b, p, r);
    case Kind::dip_socket:
      return paint_socket(b, p, r);
    case Kind::crystal:
    case Kind::oscillator:
      return paint_metal_can(b, p, r);
    case Kind::pin_header:
    case Kind::box_header:
      return paint_header(b, p, r);
    case Kind::power_connector:
    case Kind::edge_connector:
    case Kind::terminal_block:
      return paint_connector(b, p, r);
    case Kind::trimmer:
    case Kind::relay:
      return paint_box_part(b, p, r);
    case Kind::label:
      return paint_label(b, p, r);
  }
}

}  // namespace verdigrid::synthetic
