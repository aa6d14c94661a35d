#include "synthetic/layers.h"
#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

// A cone of solder with a lead in it (through), or a fillet on a flat pad.
void paint_joint(Canvas& c, const BoardSpec& spec, const Pad& pad, bool is_part_side,
                 Random random) {
  const float bright = static_cast<float>(random.uniform(0.85, 1.15));
  Surface solder{linear_bgr(Lab{mixed_value(70, 50, float(spec.age)), 0.2, 1.5}) * bright, 0.7f, 1};
  const double a = (c.is_mirrored ? -pad.rotation_deg : pad.rotation_deg) * CV_PI / 180;
  const LocalFrame frame{c.seen(pad.centre_mm), std::cos(a), std::sin(a)};
  const double r = pad.size_mm.width * 0.47,
               tall = pad.is_through ? (is_part_side ? 0.3 : 0.85) : 0.12;
  const cv::Point2d off{random.uniform(-0.08, 0.08), random.uniform(-0.08, 0.08)};
  for_each_px(
      c, frame, {0, 0}, std::max(pad.size_mm.width, pad.size_mm.height),
      [&](int x, int y, cv::Point2d p) {
        const double d =
            pad.is_round ? cv::norm(p) - r : box_distance(p, {r, pad.size_mm.height * 0.47}, 0.15);
        const float cover = edge_cover(c, d);
        if (cover <= 0) return;
        lay(c, x, y, cover, solder);
        const double t = pad.is_through ? std::clamp(cv::norm(p - off) / r, 0.0, 1.0) : 0.3;
        const double dome = pad.is_through ? tall * (1 - t) * (1 - 0.5 * t) : tall * (1 - t * t);
        auto& h = c.height_mm.at<float>(y, x);
        h = std::max(h, static_cast<float>(dome));
        if (pad.is_through && !is_part_side) {
          const float pin = edge_cover(c, cv::norm(p - off) - 0.28);
          lay(c, x, y, pin, {solder.bgr * 0.8f, 0.5f, 1});
          if (pin > 0.5f) h = static_cast<float>(tall + 0.5);
        }
      });
}

}  // namespace

void paint_joints(Canvas& c, const BoardSpec& spec) {
  for (const PlacedPart& part : spec.parts) {
    if (!spec.is_fitted(part)) continue;
    for (const Pad& pad : pads_of(part)) {
      const bool is_part_side = part.side == spec.side;
      if (!pad.is_through && !is_part_side) continue;
      const auto key = static_cast<std::uint64_t>(pad.centre_mm.x * 1000) * 1000003u +
                       static_cast<std::uint64_t>(pad.centre_mm.y * 1000);
      paint_joint(c, spec, pad, is_part_side, Random(mixed(mixed(spec.unit_seed, 30), key)));
    }
  }
}

}  // namespace verdigrid::synthetic
