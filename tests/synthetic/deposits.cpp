// Where deposits lie: thickness over the board for each shape.
#include "synthetic/layers.h"
#include "synthetic/random.h"
#include "synthetic/residue_look.h"

namespace verdigrid::synthetic {

namespace {

// Nothing climbs onto bodies taller than this, mm, except onto metal.
constexpr float k_climb_mm = 2.6f, k_climb_metal_mm = 3.5f;

struct Field {
  cv::Point2d centre;  // seen
  cv::Point2d along;   // unit vector where it ran, seen
  double reach;
  float amount;
  std::uint32_t seed;
};

Field field_of(const Canvas& c, const Deposit& d) {
  const double a = d.direction_deg * CV_PI / 180, mirror = c.is_mirrored ? -1 : 1;
  return {c.seen(d.centre_mm),
          {mirror * std::cos(a), -std::sin(a)},
          d.reach_mm,
          static_cast<float>(d.amount),
          static_cast<std::uint32_t>(mixed(d.seed, 61))};
}

// 1 at the centre, 0 at reach; a drop that ran in its direction; broken edge.
float spread(const Field& f, cv::Point2f p) {
  const cv::Point2d v = cv::Point2d{p.x, p.y} - f.centre;
  const double ahead = v.dot(f.along), aside = v.cross(f.along);
  const double d = std::hypot(ahead > 0 ? ahead : ahead * 1.9, aside * 1.4) / f.reach;
  if (d >= 1) return 0;
  const float left = static_cast<float>(1 - d),
              rough = fractal(p.x * 0.55f, p.y * 0.55f, f.seed, 4) - 0.5f;
  return left + rough * 1.3f * std::min(1.3f - left, 2.5f * left);
}

template <class Thickness>
void lay_field(Canvas& c, const ResidueLook& look, const Field& f, Thickness thickness) {
  const cv::Rect box = c.px_box(f.centre, f.reach);
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x) {
      if (c.height_mm.at<float>(y, x) < -0.5f) continue;
      const cv::Point2f p = c.seen_of_px(x, y);
      const float t = thickness(x, y, p);
      if (t > 0) apply(c, look, x, y, t);
    }
}

void lay_halo(Canvas& c, const ResidueLook& look, const Field& f) {
  lay_field(c, look, f, [&](int, int, cv::Point2f p) {
    const float s = spread(f, p) - 0.12f * (1 - f.amount);
    if (s <= 0) return 0.0f;
    const float edge = std::min(1.0f, s / 0.06f);
    const float rim = std::max(0.0f, 1 - std::abs(s - 0.07f) / 0.05f);  // dried edge
    return edge * std::min(0.17f + 0.45f * s + 0.12f * rim, 1.0f) * (0.65f + 0.35f * f.amount);
  });
}

void lay_crust(Canvas& c, const ResidueLook& look, const Field& f) {
  lay_field(c, look, f, [&](int x, int y, cv::Point2f p) {
    const bool is_metal = c.finish.at<cv::Vec2b>(y, x)[1] > 128;
    if (c.height_mm.at<float>(y, x) > (is_metal ? k_climb_metal_mm : k_climb_mm)) return 0.0f;
    const float s = spread(f, p);
    if (s <= 0) return 0.0f;
    const float lumps = 0.6f * fractal(p.x * 0.8f, p.y * 0.8f, f.seed + 3, 3) +
                        0.4f * fractal(p.x * 4.5f, p.y * 4.5f, f.seed + 4, 3);
    const float crystals = (lumps - 0.78f + 0.28f * f.amount + 0.6f * s) * 2.2f;
    const float powder = 0.17f * std::min(1.0f, 2.5f * s);  // thin, below what counts as residue
    return std::max(crystals, powder);
  });
}

// Breaks along a trace: where salts sit on copper under and beside the solder mask.
void lay_creep(Canvas& c, const ResidueLook& look, const Field& f) {
  lay_field(c, look, f, [&](int x, int y, cv::Point2f p) {
    const int copper = c.traces.at<uchar>(y, x);
    if (copper < 60) return 0.0f;
    const float s = spread(f, p);
    if (s <= 0) return 0.0f;
    const float patches = fractal(p.x * 0.45f, p.y * 0.45f, f.seed + 5, 3);
    const float bits = fractal(p.x * 2.4f, p.y * 2.4f, f.seed + 7, 2);
    return (patches - 0.62f + 0.3f * f.amount + 0.3f * s + 0.35f * (bits - 0.5f)) * 3.0f *
           static_cast<float>(copper) / 255;
  });
}

void lay_eaten(Canvas& c, const ResidueLook& look, const Field& f) {
  lay_field(c, look, f, [&](int x, int y, cv::Point2f p) {
    const int copper = c.copper.at<uchar>(y, x);
    if (copper < 90) return 0.0f;
    const float s = spread(f, p);
    if (s <= 0) return 0.0f;
    const float patches = fractal(p.x * 0.6f, p.y * 0.6f, f.seed + 9, 4);
    const float pour = c.traces.at<uchar>(y, x) > 90 ? 0.0f : 0.22f;  // a pour is eaten in spots
    return (patches - 0.66f - pour + 0.32f * f.amount + 0.4f * s) * 3.5f *
           static_cast<float>(copper) / 255;
  });
}

std::vector<Pad> pads_within(const BoardSpec& spec, const Art& art, const Deposit& d,
                             bool with_vias) {
  std::vector<Pad> pads;
  for (const PlacedPart& part : spec.parts)
    for (const Pad& pad : pads_of(part))
      if ((pad.is_through || part.side == spec.side) &&
          cv::norm(pad.centre_mm - d.centre_mm) < d.reach_mm)
        pads.push_back(pad);
  if (with_vias)
    for (const Via& v : art.vias)
      if (cv::norm(v.centre_mm - d.centre_mm) < d.reach_mm)
        pads.push_back({v.centre_mm, {v.pad_mm, v.pad_mm}, 0, true, true, 1});
  return pads;
}

Random pad_random(const Deposit& d, const Pad& pad) {
  const auto key = static_cast<std::uint64_t>(std::lround(pad.centre_mm.x * 100)) * 100003u +
                   static_cast<std::uint64_t>(std::lround(pad.centre_mm.y * 100));
  return Random(mixed(mixed(d.seed, 62), key));
}

// Lumps on and round single pads.
void lay_bloom(Canvas& c, const BoardSpec& spec, const Art& art, const Deposit& d,
               const ResidueLook& look) {
  const Field f = field_of(c, d);
  for (const Pad& pad : pads_within(spec, art, d, true)) {
    Random r = pad_random(d, pad);
    const double near = 1 - cv::norm(pad.centre_mm - d.centre_mm) / d.reach_mm;
    if (!r.chance(d.amount * (0.35 + 0.75 * near))) continue;
    const double size = std::min(pad.size_mm.width, 2.0) * r.uniform(0.55, 0.95) + 0.15;
    const cv::Point2d at = c.seen(pad.centre_mm) + cv::Point2d{r.normal() * 0.2, r.normal() * 0.2};
    const cv::Rect box = c.px_box(at, size * 1.6);
    for (int y = box.y; y < box.br().y; ++y)
      for (int x = box.x; x < box.br().x; ++x) {
        const float h = c.height_mm.at<float>(y, x);
        const bool is_metal = c.finish.at<cv::Vec2b>(y, x)[1] >= 128;
        if (h < -0.5f || h > (is_metal ? k_climb_metal_mm : k_climb_mm)) continue;
        const cv::Point2f p = c.seen_of_px(x, y);
        const double dist = std::hypot(p.x - at.x, p.y - at.y) / size;
        const float rough = fractal(p.x * 1.8f, p.y * 1.8f, f.seed, 4) - 0.5f;
        apply(c, look, x, y, static_cast<float>(1 - dist) + 1.5f * rough);
      }
  }
}

void lay_joint(Canvas& c, const BoardSpec& spec, const Art& art, const Deposit& d,
               const ResidueLook& look) {
  const Field f = field_of(c, d);
  for (const Pad& pad : pads_within(spec, art, d, false)) {
    Random r = pad_random(d, pad);
    if (!r.chance(0.3 + 0.7 * d.amount)) continue;
    const double size = std::max(pad.size_mm.width, pad.size_mm.height) / 2 + 0.05;
    const float base = static_cast<float>(r.uniform(0.25, 0.8));
    const cv::Rect box = c.px_box(c.seen(pad.centre_mm), size);
    for (int y = box.y; y < box.br().y; ++y)
      for (int x = box.x; x < box.br().x; ++x) {
        if (c.finish.at<cv::Vec2b>(y, x)[1] < 100) continue;
        const cv::Point2f p = c.seen_of_px(x, y);
        const cv::Point2d v = cv::Point2d{p.x, p.y} - c.seen(pad.centre_mm);
        if (pad.is_round && cv::norm(v) > size) continue;
        const float rough = fractal(p.x * 1.7f, p.y * 1.7f, f.seed, 3) - 0.5f;
        apply(c, look, x, y, base + 1.4f * rough);
      }
  }
}

bool is_iron(const PlacedPart& p) {
  return p.kind == Kind::crystal || p.kind == Kind::oscillator || p.kind == Kind::edge_connector ||
         p.kind == Kind::barrel_battery || p.kind == Kind::coin_battery;
}

void lay_iron(Canvas& c, const BoardSpec& spec, const Deposit& d, const ResidueLook& look) {
  const Field f = field_of(c, d);
  for (const PlacedPart& part : spec.parts) {
    if (!is_iron(part) || part.side != spec.side || !spec.is_fitted(part)) continue;
    const double reach = std::hypot(part.body_mm.width, part.body_mm.height) / 2 + 3;
    if (cv::norm(part.centre_mm - d.centre_mm) > d.reach_mm + reach) continue;
    const cv::Rect box = c.px_box(c.seen(part.centre_mm), reach) & c.px_box(f.centre, f.reach);
    const LocalFrame frame = frame_of(c, part);
    const double tabs = part.kind == Kind::barrel_battery ? 5 : 0.3;
    const cv::Size2d half{part.body_mm.width / 2 + tabs, part.body_mm.height / 2 + 0.3};
    for (int y = box.y; y < box.br().y; ++y)
      for (int x = box.x; x < box.br().x; ++x) {
        if (c.finish.at<cv::Vec2b>(y, x)[1] < 128 || c.height_mm.at<float>(y, x) < 0.5f) continue;
        const cv::Point2f p = c.seen_of_px(x, y);
        if (box_distance(frame.local({p.x, p.y}), half, 0.5) > 0) continue;
        const float s =
            1 - static_cast<float>(std::hypot(p.x - f.centre.x, p.y - f.centre.y) / f.reach);
        if (s <= 0) continue;
        const float patches = 0.6f * fractal(p.x * 0.6f, p.y * 0.6f, f.seed + 11, 3) +
                              0.4f * fractal(p.x * 3.5f, p.y * 3.5f, f.seed + 12, 3);
        apply(c, look, x, y, (patches - 0.78f + 0.28f * f.amount + 0.28f * s) * 2.6f);
      }
  }
}

}  // namespace

void paint_low_deposit(Canvas& c, const BoardSpec& spec, const Art& art, const Deposit& d) {
  const ResidueLook look = look_of(d);
  switch (d.shape) {
    case Shape::halo:
      return lay_halo(c, look, field_of(c, d));
    case Shape::creep:
      return lay_creep(c, look, field_of(c, d));
    case Shape::eaten:
      return lay_eaten(c, look, field_of(c, d));
    case Shape::joint:
      return lay_joint(c, spec, art, d, look);
    default:
      return;
  }
}

void paint_high_deposit(Canvas& c, const BoardSpec& spec, const Art& art, const Deposit& d) {
  const ResidueLook look = look_of(d);
  switch (d.shape) {
    case Shape::crust:
      return lay_crust(c, look, field_of(c, d));
    case Shape::bloom:
      return lay_bloom(c, spec, art, d, look);
    case Shape::iron:
      return lay_iron(c, spec, d, look);
    default:
      return;
  }
}

}  // namespace verdigrid::synthetic
