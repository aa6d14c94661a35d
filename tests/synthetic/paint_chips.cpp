// Chips, sockets, small passive parts.
#include "synthetic/paint_parts.h"

namespace verdigrid::synthetic {

namespace {

cv::Point2d local_of(const PlacedPart& p, cv::Point2d board_mm) {
  const double a = p.rotation_deg * CV_PI / 180, c = std::cos(a), s = std::sin(a);
  const cv::Point2d d = board_mm - p.centre_mm;
  const cv::Point2d q{c * d.x - s * d.y, s * d.x + c * d.y};
  return p.side == Side::back ? cv::Point2d{-q.x, q.y} : q;
}

// Leads from the body's side to each pad.
void paint_leads(Brush& b, const PlacedPart& p, const Surface& metal, double shoulder) {
  for (const Pad& pad : pads_of(p)) {
    const cv::Point2d q = local_of(p, pad.centre_mm);
    const bool is_top = std::abs(q.y) / p.body_mm.height > std::abs(q.x) / p.body_mm.width;
    const double w = p.kind == Kind::dip    ? 1.3
                     : p.kind == Kind::plcc ? 0.7
                     : p.kind == Kind::soic ? 0.42
                                            : 0.28;
    const double edge = (is_top ? p.body_mm.height : p.body_mm.width) / 2 - 0.3;
    const double far = is_top ? std::abs(q.y) : std::abs(q.x);
    const double out = p.kind == Kind::dip    ? far + 0.15
                       : p.kind == Kind::plcc ? edge + 0.75
                                              : far + 0.35;
    const double mid = (edge + out) / 2, length = out - edge;
    const cv::Point2d at = is_top ? cv::Point2d{q.x, std::copysign(mid, q.y)}
                                  : cv::Point2d{std::copysign(mid, q.x), q.y};
    b.box(at, is_top ? cv::Size2d{w, length} : cv::Size2d{length, w}, 0.1, metal, shoulder, 0.2);
  }
}

}  // namespace

void paint_chip(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  const bool is_dip = p.kind == Kind::dip;
  paint_leads(b, p, lead_metal(r), is_dip ? 1.9 : p.kind == Kind::plcc ? 1.6 : 0.5);
  const double shade = r.uniform(14, 27);
  const bool is_ceramic = is_dip && r.chance(0.08);
  const Surface body{linear_bgr(is_ceramic ? Lab{52, 6, 14} : Lab{shade, 0.4, 0.8}), 0.22f, 0};
  b.box({0, 0}, {w, h}, 0.2, body, p.height_mm, 0.35);
  const Surface mark{linear_bgr(Lab{r.uniform(50, 78), 0, 1}), 0.15f, 0};
  const double text = std::min({h * 0.2, w * 0.11, 2.0}), strength = r.uniform(0.35, 0.85);
  b.mark_text(part_mark(r, w > 8 ? r.whole(6, 9) : 4), {w * 0.03, -text * 0.9}, text, mark,
              strength);
  b.mark_text(part_mark(r, w > 8 ? r.whole(4, 7) : 3), {w * 0.03, text * 0.9}, text, mark,
              strength);
  const Surface dent{body.bgr * 0.45f, 0.3f, 0};
  const double dent_r = std::min(h * 0.11, 1.2);
  b.solid(
      {-w / 2 + (is_dip ? 0.2 : 1.4), is_dip ? 0 : h / 2 - 1.3}, dent_r,
      [&](cv::Point2d q) {
        return cv::norm(q - cv::Point2d{-w / 2 + (is_dip ? 0.2 : 1.4), is_dip ? 0 : h / 2 - 1.3}) -
               dent_r;
      },
      [&](cv::Point2d) { return p.height_mm - 0.25; }, [&](cv::Point2d) { return dent; });
  if (w > 24 && r.chance(0.35)) {  // sticker over the window of a memory chip
    b.mark_box({w * 0.05, 0}, {w * 0.55, h * 0.7}, {linear_bgr(Material::paper), 0.15f, 0}, 0.95);
    b.mark_text(part_mark(r, 6), {w * 0.05, 0}, h * 0.16, {linear_bgr(Lab{20, 0, 0}), 0.1f, 0},
                0.85);
  }
}

void paint_socket(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width;
  const Surface plastic{linear_bgr(r.chance(0.8) ? Lab{17, 0, 0} : Lab{36, 6, 14}), 0.25f, 0};
  const double rail = 2.4, row = (p.kind == Kind::dip_socket && p.pins > 20 ? 15.24 : 7.62) / 2;
  for (const double y : {-row, row}) b.box({0, y}, {w, rail}, 0.2, plastic, p.height_mm, 0.2);
  for (const double x : {-w / 2 + 0.9, 0.0, w / 2 - 0.9})
    b.box({x, 0}, {1.8, 2 * row}, 0.1, plastic, p.height_mm * 0.8, 0.2);
  const Surface hole{linear_bgr(Lab{6, 0, 0}), 0.1f, 0},
      spring{linear_bgr(Lab{62, 2, 16}), 0.5f, 1};
  for (const Pad& pad : pads_of(p)) {
    const cv::Point2d q = local_of(p, pad.centre_mm);
    b.mark_box(q, {1.0, 1.0}, hole);
    b.mark_box(q + cv::Point2d{0, 0.25}, {0.6, 0.3}, spring, 0.8);
  }
}

namespace {

void paint_banded(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width / 2, radius = p.body_mm.height / 2;
  const double end = cv::norm(pads_of(p)[0].centre_mm - p.centre_mm);
  b.wire({-end, 0}, {end, 0}, 0.6, lead_metal(r), 1.0);
  const bool is_diode = p.kind == Kind::diode, is_glass = is_diode && p.body_mm.width < 5;
  const Lab tan{72, 4, 20}, blue{58, -10, -16}, glass{38, 26, 28}, black{14, 0, 0};
  const Surface body{linear_bgr(is_glass         ? glass
                                : is_diode       ? black
                                : r.chance(0.75) ? tan
                                                 : blue),
                     0.4f, 0};
  b.lying({-w, 0}, {w, 0}, radius, body, radius);
  if (is_diode) {
    b.mark_box({w * 0.65, 0}, {w * 0.28, 2 * radius},
               {linear_bgr(is_glass ? Lab{8, 0, 0} : Lab{78, 0, 0}), 0.3f, 0});
    return;
  }
  const int bands[][3]{{110, 60, 24},  {20, 20, 20},  {170, 30, 26}, {210, 110, 30},
                       {220, 190, 40}, {40, 120, 50}, {40, 60, 150}, {120, 60, 140}};
  for (int i = 0; i < 4; ++i) {
    const auto& k = bands[r.whole(0, 7)];
    const double x = i < 3 ? -w * 0.6 + i * w * 0.36 : w * 0.62;
    b.mark_box({x, 0}, {w * 0.16, 2 * radius}, {linear_bgr_of_srgb(k[0], k[1], k[2]), 0.4f, 0});
  }
}

}  // namespace

void paint_passive(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  switch (p.kind) {
    case Kind::resistor:
    case Kind::diode:
      paint_banded(b, p, r);
      return;
    case Kind::resistor_array: {
      const Surface body{linear_bgr(r.chance(0.6) ? Lab{18, 0, 0} : Lab{66, 10, 52}), 0.35f, 0};
      b.box({0, 0}, {w, h}, 0.6, body, p.height_mm, 0.4);
      return;
    }
    case Kind::transistor: {
      const Surface body{linear_bgr(Material::black_plastic), 0.25f, 0};
      b.solid(
          {0, 0}, w / 2,
          [&](cv::Point2d q) { return std::max(cv::norm(q) - w / 2, q.y - h * 0.28); },
          [&](cv::Point2d) { return p.height_mm; }, [&](cv::Point2d) { return body; });
      return;
    }
    default: {
      const bool is_resistor = p.kind == Kind::chip_resistor;
      b.box({0, 0}, {w, h}, 0.1, {linear_bgr(Lab{76, 0, 1}), 0.5f, 1}, p.height_mm, 0.1);
      const Lab tan{r.uniform(48, 64), 9, 20};
      b.box({0, 0}, {w * 0.62, h}, 0.02, {linear_bgr(is_resistor ? Lab{14, 0, 0} : tan), 0.3f, 0},
            p.height_mm, 0.05);
      if (is_resistor)
        b.mark_text(part_mark(r, 3), {0, 0}, h * 0.42, {linear_bgr(Lab{84, 0, 0}), 0.2f, 0});
    }
  }
}

}  // namespace verdigrid::synthetic
