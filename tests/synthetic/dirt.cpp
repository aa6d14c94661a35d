// What ages a board without being residue: flux, glue, dust, fingerprints, grey haze.
#include <opencv2/core/utility.hpp>

#include "synthetic/layers.h"
#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

void paint_blot(Canvas& c, cv::Point2d at, double size, const Surface& s, float strength,
                float lump, std::uint32_t seed) {
  const cv::Rect box = c.px_box(at, size * 1.5);
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x) {
      if (c.height_mm.at<float>(y, x) < -0.5f) continue;
      const cv::Point2f p = c.seen_of_px(x, y);
      const double d = std::hypot(p.x - at.x, p.y - at.y) / size;
      const float t = std::clamp(
          (static_cast<float>(1 - d) + 0.7f * (fractal(p.x * 0.9f, p.y * 0.9f, seed, 3) - 0.5f)) *
              3,
          0.0f, 1.0f);
      if (t <= 0) continue;
      lay(c, x, y, t * strength, s);
      c.height_mm.at<float>(y, x) += lump * t;
    }
}

struct Print {
  cv::Point2d at;
  double angle, radius;
};

float ridge(const Print& f, cv::Point2f p, std::uint32_t seed) {
  const double dx = p.x - f.at.x, dy = p.y - f.at.y;
  const double d = std::hypot(dx, dy * 0.7) / f.radius;
  if (d > 1) return 0;
  const double warp = 3 * fractal(p.x * 0.25f, p.y * 0.25f, seed, 2);
  const double lines =
      std::sin((dx * std::cos(f.angle) + dy * std::sin(f.angle) + warp) * 2 * CV_PI / 0.55);
  return static_cast<float>((1 - d) * (0.5 + 0.5 * lines));
}

}  // namespace

void paint_flux(Canvas& c, const BoardSpec& spec) {
  Random r(mixed(spec.unit_seed, 70));
  for (const PlacedPart& part : spec.parts)
    for (const Pad& pad : pads_of(part)) {
      const bool is_seen = pad.is_through && part.side != spec.side;
      if (!is_seen || !r.chance(spec.flux * 0.5)) continue;
      const auto seed = static_cast<std::uint32_t>(r.bits());
      const auto strength = static_cast<float>(r.uniform(0.12, 0.35));
      const double size = r.uniform(1.2, 2.2);
      paint_blot(c, c.seen(pad.centre_mm), size, {linear_bgr(Material::flux_amber), 0.8f, 0},
                 strength, 0, seed);
    }
  for (const PlacedPart& part : spec.parts) {
    const bool takes_glue = part.kind == Kind::radial_can && part.body_mm.width > 7;
    if (!takes_glue || part.side != spec.side || !r.chance(spec.flux * 0.4)) continue;
    const cv::Point2d at = board_point_of(part, {0, part.body_mm.height * 0.55});
    const auto seed = static_cast<std::uint32_t>(r.bits());
    const double size = r.uniform(1.5, 3);
    paint_blot(c, c.seen(at), size, {linear_bgr(Material::glue_pale), 0.6f, 0}, 0.85f, 0.6f, seed);
  }
}

void paint_dirt(Canvas& c, const BoardSpec& spec) {
  Random r(mixed(spec.unit_seed, 71));
  const auto seed = static_cast<std::uint32_t>(r.bits());
  const cv::Vec3f dust = linear_bgr(Material::mineral_dust);
  const float haze = static_cast<float>(0.9 * spec.dirt);
  std::vector<Print> prints;
  for (int i = r.whole(0, 3); i > 0; --i)
    prints.push_back({{r.uniform(0, spec.size_mm.width), r.uniform(0, spec.size_mm.height)},
                      r.uniform(0, CV_PI),
                      r.uniform(6, 9)});
  cv::parallel_for_(cv::Range(0, c.albedo.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < c.albedo.cols; ++x) {
        if (c.height_mm.at<float>(y, x) < -0.5f) continue;
        const cv::Point2f p = c.seen_of_px(x, y);
        float a = haze * std::max(0.0f, fractal(p.x * 0.09f, p.y * 0.09f, seed, 4) - 0.35f);
        const float speck = noise(p.x * 3.1f, p.y * 3.1f, seed + 3);
        if (speck > 0.93f) a += (speck - 0.93f) * 6 * static_cast<float>(spec.dirt);
        for (const Print& f : prints)
          a += 0.10f * static_cast<float>(spec.dirt) * ridge(f, p, seed + 5);
        const uchar gloss = c.finish.at<cv::Vec2b>(y, x)[0],
                    metal = c.finish.at<cv::Vec2b>(y, x)[1];
        const float metal_share = float(metal) / 255;
        lay(c, x, y, a, {dust, mixed_value(float(gloss) / 255, 0.1f, 0.5f), metal_share});
      }
  });
}

}  // namespace verdigrid::synthetic
