#include "synthetic/residue_look.h"

#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

// Thickness at which a deposit begins to be seen, and from which it hides what is below.
constexpr float k_first_seen = 0.05f, k_full = 0.35f;

float smooth_step(float a, float b, float v) {
  const float t = std::clamp((v - a) / (b - a), 0.0f, 1.0f);
  return t * t * (3 - 2 * t);
}

void set_palette(ResidueLook& l, const cv::Vec3f& a, const cv::Vec3f& b, const cv::Vec3f& c) {
  l.colours[0] = a;
  l.colours[1] = b;
  l.colours[2] = c;
}

cv::Vec3f look_colour(const ResidueLook& l, cv::Point2f p) {
  const float a = smooth_step(0.3f, 0.7f, fractal(p.x * 0.9f, p.y * 0.9f, l.seed + 31, 3));
  const float b = smooth_step(0.45f, 0.8f, fractal(p.x * 2.3f, p.y * 2.3f, l.seed + 37, 2));
  const float grain = 1 + l.grain * (fractal(p.x * 6, p.y * 6, l.seed + 41, 2) - 0.5f);
  cv::Vec3f c;
  for (int k = 0; k < 3; ++k)
    c[k] =
        mixed_value(mixed_value(l.colours[0][k], l.colours[1][k], a), l.colours[2][k], b) * grain;
  return c;
}

// Film lets the ground through: it multiplies what is below.
void apply_film(Canvas& c, const ResidueLook& l, int x, int y, float cover) {
  const cv::Point2f p = c.seen_of_px(x, y);
  const float depth =
      cover * l.strength * (0.7f + 0.6f * fractal(p.x * 0.35f, p.y * 0.35f, l.seed + 51, 2));
  const cv::Vec3f tint = look_colour(l, p);
  auto& colour = c.albedo.at<cv::Vec3w>(y, x);
  for (int k = 0; k < 3; ++k) {
    const float below = colour[k];
    const float through = below * mixed_value(1, 0.3f + tint[k], std::min(depth, 1.0f));
    colour[k] = static_cast<ushort>(std::clamp(
        mixed_value(through, tint[k] * 65535, 0.3f * std::min(depth, 1.0f)), 0.0f, 65535.0f));
  }
  auto& finish = c.finish.at<cv::Vec2b>(y, x);
  finish[0] = static_cast<uchar>(mixed_value(finish[0], l.gloss * 255, cover));
  finish[1] = static_cast<uchar>(mixed_value(finish[1], 0, 0.7f * cover));
}

}  // namespace

ResidueLook look_of(const Deposit& d) {
  Random r(mixed(d.seed, 60));
  ResidueLook l;
  l.residue = d.residue;
  l.seed = static_cast<std::uint32_t>(r.bits());
  const auto lin = [](Material m) { return linear_bgr(m); };
  switch (d.residue) {
    case Residue::copper_salt: {
      const cv::Vec3f teal = lin(Material::chrysocolla), green = lin(Material::malachite),
                      blue = lin(Material::blue_salt), dark = lin(Material::verdigris),
                      mine = lin(Material::mine_green);
      const int kind = r.whole(0, 4);
      if (kind == 0) set_palette(l, blue, teal, teal * 1.2f);
      if (kind == 1) set_palette(l, teal, green, teal * 1.25f);
      if (kind == 2) set_palette(l, green, mine, teal);
      if (kind == 3) set_palette(l, teal, blue, dark);
      if (kind == 4) set_palette(l, green, teal, green * 1.3f);
      for (cv::Vec3f& c : l.colours) c *= 0.8f;  // a rough crust shades itself
      l.grain = 0.9f;
      l.lump_mm = 0.25f;
      break;
    }
    case Residue::leak_film:
      set_palette(l, lin(Material::film_brown), lin(Material::film_dark) * 1.5f,
                  lin(Material::film_brown) * 1.1f);
      l.gloss = r.chance(0.5) ? 0.7f : 0.2f;
      l.grain = 0.3f;
      l.lump_mm = 0.02f;
      l.strength = static_cast<float>(r.uniform(0.85, 1.3));
      break;
    case Residue::white_salt:
      set_palette(l, lin(Material::white_crust), lin(Material::lead_white),
                  linear_bgr(r.chance(0.4) ? Lab{82, -9, -6} : Lab{84, -1, 0}));
      l.grain = 0.35f;
      l.lump_mm = 0.3f;
      break;
    case Residue::rust:
      set_palette(l, lin(Material::goethite), lin(Material::lepidocrocite),
                  lin(Material::hematite));
      if (r.chance(0.3)) l.colours[0] = lin(Material::rusted_tin);
      l.grain = 0.7f;
      l.lump_mm = 0.1f;
      break;
    case Residue::attacked_joint:
      set_palette(l, linear_bgr(Lab{44, 0.5, 2}), lin(Material::black_joint),
                  lin(Material::cuprite));
      l.grain = 0.8f;
      l.lump_mm = 0.08f;
      break;
    default:
      set_palette(l, lin(Material::aged_copper), linear_bgr(Lab{44, 12, 15}),
                  lin(Material::cuprite));
      l.grain = 0.6f;
      l.lump_mm = -0.03f;
      l.gloss = 0.3f;
  }
  return l;
}

void apply(Canvas& c, const ResidueLook& l, int x, int y, float thickness) {
  if (thickness <= k_first_seen) return;
  const float cover = smooth_step(k_first_seen, k_full, thickness);
  if (l.residue == Residue::leak_film) {
    apply_film(c, l, x, y, cover);
  } else {
    const cv::Point2f p = c.seen_of_px(x, y);
    const float metal = l.residue == Residue::eaten_copper ? 0.5f : 0;
    lay(c, x, y, cover, {look_colour(l, p), l.gloss, metal});
    const float lumps = fractal(p.x * 4, p.y * 4, l.seed + 71, 3);
    c.height_mm.at<float>(y, x) +=
        l.lump_mm * cover * (0.4f + 1.2f * lumps) * std::min(thickness, 1.2f);
  }
  if (cover >= 0.5f) c.labels.at<uchar>(y, x) = static_cast<uchar>(l.residue);
}

}  // namespace verdigrid::synthetic
