#include <opencv2/core/utility.hpp>

#include "synthetic/layers.h"
#include "synthetic/random.h"
#include "synthetic/strokes.h"

namespace verdigrid::synthetic {

namespace {

constexpr float k_copper_mm = 0.035f;  // 1 oz per square foot
constexpr double k_clearance_mm = 0.45;

struct Coverage {
  cv::Mat copper, open, print, pour_gap, hole, traces;
};

MaskLook look(int lr, int lg, int lb, int cr, int cg, int cb, float gloss) {
  return {linear_bgr_of_srgb(lr, lg, lb), linear_bgr_of_srgb(cr, cg, cb), gloss};
}

MaskLook base_look(MaskColour colour, Side side, bool is_clear) {
  switch (colour) {
    case MaskColour::green:
      return is_clear ? look(96, 116, 62, 188, 138, 62, 0.45f)
                      : look(30, 92, 46, 48, 140, 62, 0.5f);
    case MaskColour::dark_green:
      return look(18, 58, 42, 36, 112, 58, 0.55f);
    case MaskColour::blue:
      return look(22, 62, 122, 36, 96, 166, 0.5f);
    case MaskColour::red:
      return look(126, 24, 24, 172, 44, 38, 0.5f);
    case MaskColour::black:
      return look(24, 24, 25, 40, 40, 42, 0.4f);
    case MaskColour::white:
      return look(206, 206, 198, 226, 226, 220, 0.5f);
    case MaskColour::yellow:
      return look(176, 124, 26, 212, 162, 48, 0.45f);
    case MaskColour::phenolic:
      return side == Side::front ? look(158, 110, 62, 160, 112, 64, 0.25f)
                                 : look(136, 104, 54, 172, 128, 62, 0.4f);
  }
  return {};
}

// Traces, pads, vias, fingers as seen; pour_gap is where no pour may lie.
void draw_copper(const Canvas& c, const BoardSpec& spec, const Art& art, Coverage& v) {
  const double s = c.px_per_mm;
  const auto line = [&](const std::vector<cv::Point2d>& path, double width) {
    for (size_t i = 1; i < path.size(); ++i) {
      const cv::Point2d a = c.px(c.seen(path[i - 1])), b = c.px(c.seen(path[i]));
      stroke(v.copper, a, b, width * s);
      stroke(v.pour_gap, a, b, (width + 2 * k_clearance_mm) * s);
    }
  };
  for (const Trace& t : art.traces)
    if (t.side == spec.side) line(t.path_mm, t.width_mm);
  const auto pad = [&](cv::Point2d at, cv::Size2d size, double angle, bool is_round, bool is_open) {
    const cv::Point2d p = c.px(c.seen(at));
    const double turn = c.is_mirrored ? -angle : angle;
    const cv::Size2d px{size.width * s, size.height * s};
    const double gap = 2 * k_clearance_mm * s, opening = 0.16 * s;
    const double radius = is_round ? px.width / 2 : 0.12 * s;
    fill_box(v.copper, p, px, turn, radius);
    fill_box(v.pour_gap, p, {px.width + gap, px.height + gap}, turn, radius);
    if (is_open) fill_box(v.open, p, {px.width + opening, px.height + opening}, turn, radius);
  };
  for (const PlacedPart& part : spec.parts)
    for (const Pad& q : pads_of(part))
      if (q.is_through || part.side == spec.side)
        pad(q.centre_mm, q.size_mm, q.rotation_deg, q.is_round && q.pin != 1, true);
  for (const Via& via : art.vias)
    pad(via.centre_mm, {via.pad_mm, via.pad_mm}, 0, true, !via.is_tented);
  for (const RoundHole& h : art.holes)
    if (h.is_plated) pad(h.centre_mm, {h.diameter_mm + 2.6, h.diameter_mm + 2.6}, 0, true, true);
  for (const Finger& f : art.fingers) {
    const cv::Point2d centre = (f.box_mm.tl() + f.box_mm.br()) / 2;
    pad(centre, f.box_mm.size(), 0, false, true);
    fill_box(v.open, c.px(c.seen(centre)), {2.6 * s, f.box_mm.height * s}, 0, 0);
  }
}

void draw_print(const Canvas& c, const BoardSpec& spec, const Art& art, cv::Mat& print) {
  const double s = c.px_per_mm;
  for (const PrintedLine& l : art.lines) {
    if (l.side != spec.side) continue;
    const size_t n = l.path_mm.size();
    for (size_t i = l.is_closed ? 0 : 1; i < n; ++i)
      stroke(print, c.px(c.seen(l.path_mm[(i + n - 1) % n])), c.px(c.seen(l.path_mm[i])),
             l.width_mm * s);
  }
  for (const Lettering& t : art.letterings) {
    if (t.side != spec.side) continue;
    const double a = t.rotation_deg * CV_PI / 180;
    const LocalFrame frame{c.seen(t.centre_mm), std::cos(a), std::sin(a)};
    for (const auto& line : text_strokes(t.text, t.height_mm))
      for (size_t i = 1; i < line.size(); ++i)
        stroke(print, c.px(frame.seen(line[i - 1])), c.px(frame.seen(line[i])),
               std::max(0.16, t.height_mm * 0.13) * s);
  }
}

void draw_holes(const Canvas& c, const BoardSpec& spec, const Art& art, cv::Mat& hole) {
  const auto disc = [&](cv::Point2d at, double d) {
    const cv::Point2d p = c.px(c.seen(at));
    stroke(hole, p, p, d * c.px_per_mm);
  };
  for (const RoundHole& h : art.holes) disc(h.centre_mm, h.diameter_mm);
  for (const Via& via : art.vias)
    if (!via.is_tented) disc(via.centre_mm, via.drill_mm);
  Random random(mixed(spec.unit_seed, 21));
  for (const PlacedPart& part : spec.parts) {
    const bool is_cleared = random.chance(0.75);  // else solder still fills the holes
    if (spec.is_fitted(part) || !is_cleared) continue;
    for (const Pad& q : pads_of(part))
      if (q.is_through) disc(q.centre_mm, q.size_mm.width * 0.5);
  }
}

Surface open_metal(const BoardSpec& spec, bool is_gold) {
  const Lab tin{mixed_value(68, 50, float(spec.age)), 0.2, 1.5};
  const Lab gold{72, 6, 38};
  return {linear_bgr(is_gold ? gold : tin), is_gold ? 0.75f : 0.55f, 1};
}

struct GroundLook {
  MaskLook mask;
  Surface metal;
  cv::Vec3f laminate, print, rim;
  std::uint32_t seed;
  float age, weave, print_wear;
};

// One pixel of the bare board.
void ground_px(Canvas& c, const Coverage& v, const GroundLook& g, int x, int y) {
  const cv::Point2f p = c.seen_of_px(x, y);
  const float cu = float(v.copper.at<uchar>(y, x)) / 255, op = float(v.open.at<uchar>(y, x)) / 255,
              pr = float(v.print.at<uchar>(y, x)) / 255;
  const float mottle = 0.9f + 0.2f * fractal(p.x * 0.06f, p.y * 0.06f, g.seed, 3);
  const float weave = 1 + g.weave * (1 - cu) *
                              (noise(p.x * 2.2f, p.y * 0.3f, g.seed + 5) +
                               noise(p.x * 0.3f, p.y * 2.2f, g.seed + 6) - 1);
  Surface s;
  for (int k = 0; k < 3; ++k)
    s.bgr[k] = mixed_value(g.mask.over_laminate[k], g.mask.over_copper[k], cu) * mottle * weave;
  s.gloss = g.mask.gloss;
  if (pr > 0) {
    const float worn = g.print_wear * fractal(p.x * 1.7f, p.y * 1.7f, g.seed + 9, 3);
    const float ink = pr * (1 - op) * std::clamp(1.15f - worn, 0.0f, 1.0f);
    for (int k = 0; k < 3; ++k) s.bgr[k] = mixed_value(s.bgr[k], g.print[k], ink);
    s.gloss = mixed_value(s.gloss, 0.15f, ink);
  }
  if (op > 0) {
    const float grain = 0.86f + 0.28f * fractal(p.x * 2.5f, p.y * 2.5f, g.seed + 12, 2);
    for (int k = 0; k < 3; ++k) {
      const float bare = mixed_value(g.laminate[k], g.metal.bgr[k] * grain, cu);
      s.bgr[k] = mixed_value(s.bgr[k], bare, op);
    }
    s.gloss = mixed_value(s.gloss, mixed_value(0.15f, g.metal.gloss, cu), op);
    s.metal = op * cu;
  }
  lay(c, x, y, 1, s);
  const float lump = op * cu * 0.05f * noise(p.x * 1.5f, p.y * 1.5f, g.seed + 15);
  c.height_mm.at<float>(y, x) = k_copper_mm * cu + 0.02f * pr + lump;
}

// Past the outline and in holes the desk is seen.
void cut(Canvas& c, const BoardSpec& spec, const cv::Mat& hole, const cv::Vec3f& rim, int x,
         int y) {
  const cv::Point2f p = c.seen_of_px(x, y);
  const cv::Point2d half{spec.size_mm.width / 2, spec.size_mm.height / 2};
  const double d = box_distance({p.x - half.x, p.y - half.y}, {half.x, half.y}, spec.corner_mm);
  if (d > -0.5) lay(c, x, y, edge_cover(c, -0.3 - d), {rim, 0.1f, 0});
  const float in_hole = float(hole.at<uchar>(y, x)) / 255;
  if (in_hole > 0) lay(c, x, y, in_hole, {linear_bgr_of_srgb(22, 20, 17), 0.05f, 0});
  if (d > 0 || in_hole > 0.5f) c.height_mm.at<float>(y, x) = -1.6f;
}

Coverage coverage_of(const Canvas& c, const BoardSpec& spec, const Art& art) {
  const cv::Size size = c.albedo.size();
  Coverage v;
  for (cv::Mat* m : {&v.copper, &v.open, &v.print, &v.pour_gap, &v.hole})
    *m = cv::Mat::zeros(size, CV_8U);
  draw_copper(c, spec, art, v);
  v.traces = v.copper.clone();
  draw_print(c, spec, art, v.print);
  draw_holes(c, spec, art, v.hole);
  if (spec.side == Side::front ? art.has_pour_front : art.has_pour_back) {
    const cv::Point2d half{spec.size_mm.width / 2, spec.size_mm.height / 2};
    for (int y = 0; y < size.height; ++y)
      for (int x = 0; x < size.width; ++x) {
        const cv::Point2f p = c.seen_of_px(x, y);
        const double d = box_distance({p.x - half.x, p.y - half.y}, {half.x, half.y}, 1);
        const int pour = d < -1 ? 255 - v.pour_gap.at<uchar>(y, x) : 0;
        auto& cu = v.copper.at<uchar>(y, x);
        cu = std::max(cu, static_cast<uchar>(pour));
      }
  }
  return v;
}

}  // namespace

MaskLook mask_look(const BoardSpec& spec, Side side) {
  Random random(mixed(spec.type_seed, 20));
  MaskLook m = base_look(spec.mask, side, random.chance(0.3));
  const auto dull = static_cast<float>(random.uniform(0.05, 0.35));
  for (cv::Vec3f* c : {&m.over_laminate, &m.over_copper}) {
    const float grey = (*c)[0] * 0.0722f + (*c)[1] * 0.7152f + (*c)[2] * 0.2126f;
    for (int k = 0; k < 3; ++k) (*c)[k] = mixed_value((*c)[k], grey, dull);
  }
  for (int k = 0; k < 3; ++k) {
    const auto f = static_cast<float>(random.uniform(0.85, 1.15));
    m.over_laminate[k] *= f;
    m.over_copper[k] *= f;
  }
  m.gloss *= static_cast<float>(random.uniform(0.6, 1.2));
  return m;
}

void paint_ground(Canvas& c, const BoardSpec& spec, const Art& art) {
  const Coverage v = coverage_of(c, spec, art);
  const bool is_phenolic = spec.mask == MaskColour::phenolic,
             is_white = spec.mask == MaskColour::white;
  GroundLook g{mask_look(spec, spec.side),
               open_metal(spec, false),
               linear_bgr(is_phenolic ? Material::phenolic : Material::laminate),
               linear_bgr(is_white ? Lab{20, 0, 0} : Lab{88 - 8 * spec.age, 0, 3 + 9 * spec.age}),
               linear_bgr(is_phenolic ? Lab{42, 12, 26} : Lab{60, -3, 22}),
               static_cast<std::uint32_t>(mixed(spec.unit_seed, 22)),
               static_cast<float>(spec.age),
               is_phenolic ? 0.03f : 0.09f,
               static_cast<float>(0.2 + 0.7 * spec.age)};
  cv::parallel_for_(cv::Range(0, c.albedo.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < c.albedo.cols; ++x) {
        ground_px(c, v, g, x, y);
        cut(c, spec, v.hole, g.rim, x, y);
      }
  });
  const Surface gold = open_metal(spec, true);
  for (const Finger& f : art.fingers) {
    const cv::Point2d centre = (f.box_mm.tl() + f.box_mm.br()) / 2;
    const LocalFrame frame{c.seen(centre), 1, 0};
    for_each_px(c, frame, {0, 0}, f.box_mm.height, [&](int x, int y, cv::Point2d p) {
      const double d = box_distance(p, {f.box_mm.width / 2, f.box_mm.height / 2}, 0.2);
      lay(c, x, y, edge_cover(c, d), gold);
    });
  }
  c.copper = v.copper;
  c.traces = v.traces;
}

}  // namespace verdigrid::synthetic
