// Capacitors and batteries.
#include "synthetic/paint_parts.h"

namespace verdigrid::synthetic {

namespace {

Surface sleeve_of(Random& r) {
  const int c[][3]{{24, 44, 104}, {28, 86, 170}, {18, 18, 20},  {40, 30, 26},
                   {20, 60, 78},  {84, 60, 120}, {120, 70, 40}, {14, 24, 44}};
  const auto& k = c[r.whole(0, 7)];
  return {linear_bgr_of_srgb(k[0], k[1], k[2]), 0.45f, 0};
}

}  // namespace

void paint_radial_can(Brush& b, const PlacedPart& p, Random& r) {
  const double radius = p.body_mm.width / 2, inner = radius * 0.84;
  const Surface sleeve = sleeve_of(r), stripe{linear_bgr_of_srgb(150, 152, 150), 0.3f, 0};
  const Surface top{linear_bgr(Lab{62, 0, 1.5}), 0.4f, 1};
  b.solid(
      {0, 0}, radius, [&](cv::Point2d q) { return cv::norm(q) - radius; },
      [&](cv::Point2d q) {
        const double d = cv::norm(q);
        return d < inner ? p.height_mm - 0.25 : p.height_mm - 0.5 * std::max(0.0, d - inner);
      },
      [&](cv::Point2d q) {
        if (cv::norm(q) < inner) return top;
        return q.x > 0 && std::abs(q.y) < radius * 0.35 ? stripe : sleeve;
      });
  const Surface score{top.bgr * 0.45f, 0.2f, 1};
  const double a = r.uniform(0, CV_PI), n = r.chance(0.5) ? 2 : 3;
  for (int i = 0; i < n; ++i) {
    const double t = a + i * CV_PI / n, w = inner * 0.62;
    const cv::Point2d d{std::cos(t) * w, std::sin(t) * w};
    for_each_px(b.canvas(), b.frame(), {0, 0}, w, [&](int x, int y, cv::Point2d q) {
      lay(b.canvas(), x, y, 0.7f * edge_cover(b.canvas(), segment_distance(q, -d, d) - 0.12),
          score);
    });
  }
}

void paint_smd_can(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, radius = w * 0.47;
  b.box({0, 0}, {w, w}, 0.6, {linear_bgr(Material::black_plastic), 0.25f, 0}, 0.8);
  const Surface metal{linear_bgr(Lab{66, 0, 0.5}), 0.6f, 1};
  const Surface ink{linear_bgr(r.chance(0.7) ? Lab{12, 0, 0} : Lab{30, 5, -30}), 0.3f, 0};
  b.solid(
      {0, 0}, radius, [&](cv::Point2d q) { return cv::norm(q) - radius; },
      [&](cv::Point2d q) {
        const double d = cv::norm(q), edge = radius * 0.85;
        return p.height_mm - (d > edge ? 0.8 * (d - edge) : 0);
      },
      [&](cv::Point2d q) { return q.x > radius * 0.45 ? ink : metal; });
  b.mark_text(part_mark(r, 3), {-radius * 0.15, -radius * 0.2}, radius * 0.42, ink);
  b.mark_text(part_mark(r, 2), {-radius * 0.15, radius * 0.4}, radius * 0.38, ink);
}

void paint_axial_can(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width / 2, radius = p.body_mm.height / 2;
  const Surface lead = lead_metal(r), sleeve = sleeve_of(r);
  const double end = cv::norm(pads_of(p)[0].centre_mm - p.centre_mm);
  b.wire({-end, 0}, {end, 0}, 0.8, lead, 1.2);
  b.lying({-w, 0}, {w, 0}, radius, {linear_bgr(Lab{76, 0, 0}), 0.5f, 1}, radius * 0.8);
  b.lying({-w * 0.93, 0}, {w * 0.95, 0}, radius, sleeve, radius);
  const Surface ink{linear_bgr_of_srgb(210, 212, 208), 0.3f, 0};
  for (int i = 0; i < 4; ++i)
    b.mark_box({-w * 0.5 + i * w * 0.4, radius * 0.55}, {w * 0.2, radius * 0.16}, ink, 0.9);
  b.mark_text(part_mark(r, 6), {-w * 0.15, -radius * 0.1}, radius * 0.3, ink, 0.85);
}

void paint_barrel_battery(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width / 2, radius = p.body_mm.height / 2;
  const int c[][3]{{22, 62, 140}, {30, 110, 70}, {200, 160, 30}, {26, 32, 44}};
  const auto& k = c[r.whole(0, 3)];
  const Surface sleeve{linear_bgr_of_srgb(k[0], k[1], k[2]), 0.42f, 0};
  const Surface tab{linear_bgr(Material::nickel) * 0.7f, 0.5f, 1};
  const double end = cv::norm(pads_of(p)[0].centre_mm - p.centre_mm);
  b.box({-end * 0.9, 0}, {end * 0.5, 3}, 0.3, tab, 1.2);
  b.box({end * 0.9, 0}, {end * 0.5, 3}, 0.3, tab, 1.2);
  b.lying({-w, 0}, {w, 0}, radius * 0.9, {linear_bgr(Lab{66, 0, 2}), 0.45f, 1}, radius);
  b.solid(
      {0, 0}, w + radius,
      [&](cv::Point2d q) { return std::max(std::abs(q.x) - w * 0.95, std::abs(q.y) - radius); },
      [&](cv::Point2d q) {
        const double cells = w > 12 ? 1.5 : 1;
        const double bulge = 1 - 0.09 * std::pow(std::cos(q.x / w * CV_PI * cells), 2);
        const double t = std::min(std::abs(q.y) / radius, 1.0);
        return radius * (1 + bulge * std::sqrt(1 - t * t));
      },
      [&](cv::Point2d) { return sleeve; });
  const Surface ink{linear_bgr_of_srgb(220, 220, 214), 0.4f, 0};
  b.mark_text(part_mark(r, 7), {0, -radius * 0.25}, radius * 0.2, ink, 0.85);
  b.mark_text(part_mark(r, 4), {w * 0.1, radius * 0.15}, radius * 0.15, ink, 0.8);
  b.mark_text("+", {-w * 0.8, radius * 0.2}, radius * 0.24, ink);
}

void paint_coin_battery(Brush& b, const PlacedPart& p, Random& r) {
  const double radius = p.body_mm.width / 2;
  const Surface steel{linear_bgr(Lab{76, 0, 2}), 0.6f, 1};
  b.box({0, 0}, {radius * 2.15, radius * 1.2}, 1, {linear_bgr(Material::black_plastic), 0.3f, 0},
        2.5);
  b.disc({0, 0}, radius * 0.97, steel, p.height_mm, 0.6);
  for_each_px(b.canvas(), b.frame(), {0, 0}, radius, [&](int x, int y, cv::Point2d q) {
    const double d = std::abs(cv::norm(q) - radius * 0.8) - 0.12;
    lay(b.canvas(), x, y, 0.5f * edge_cover(b.canvas(), d), {steel.bgr * 0.5f, 0.4f, 1});
  });
  b.mark_text(part_mark(r, 6), {0, radius * 0.4}, radius * 0.2, {steel.bgr * 0.4f, 0.4f, 1});
  b.box({-radius * 0.5, 0}, {radius, 3.2}, 0.4, {linear_bgr(Lab{70, 0, 4}), 0.5f, 1},
        p.height_mm + 0.5);
}

void paint_tantalum(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width / 2, h = p.body_mm.height / 2;
  const bool is_orange = r.chance(0.5);
  const Surface body{
      is_orange ? linear_bgr_of_srgb(206, 128, 34) : linear_bgr_of_srgb(214, 172, 40), 0.4f, 0};
  const Surface ink{linear_bgr_of_srgb(60, 34, 14), 0.3f, 0};
  if (p.kind == Kind::tantalum_bead) {
    b.solid(
        {0, 0}, w, [&](cv::Point2d q) { return (std::hypot(q.x / w, q.y / h) - 1) * h; },
        [&](cv::Point2d q) {
          const double t = std::min(std::hypot(q.x / w, q.y / h), 1.0);
          return p.height_mm * (0.55 + 0.45 * std::sqrt(1 - t * t));
        },
        [&](cv::Point2d) { return body; });
    b.mark_text(part_mark(r, 3), {0, 0}, h * 0.5, ink, 0.8);
    return;
  }
  b.box({0, 0}, {2 * w * 1.04, h * 1.2}, 0.1, lead_metal(r), p.height_mm * 0.6);
  b.box({0, 0}, {2 * w, 2 * h}, 0.15, body, p.height_mm, 0.25);
  b.mark_box({-w * 0.78, 0}, {w * 0.2, 2 * h}, ink, 0.85);
  b.mark_text(part_mark(r, 3), {w * 0.15, 0}, h * 0.7, ink, 0.8);
}

void paint_small_capacitor(Brush& b, const PlacedPart& p, Random& r) {
  const double w = p.body_mm.width, h = p.body_mm.height;
  if (p.kind == Kind::film_capacitor) {
    const int c[][3]{{196, 160, 40}, {150, 36, 30}, {40, 80, 150}, {120, 122, 120}};
    const auto& k = c[r.whole(0, 3)];
    b.box({0, 0}, {w, h}, 0.3, {linear_bgr_of_srgb(k[0], k[1], k[2]), 0.35f, 0}, p.height_mm, 0.3);
    b.mark_text(part_mark(r, 4), {0, 0}, h * 0.35, {linear_bgr_of_srgb(24, 22, 20), 0.2f, 0}, 0.8);
    return;
  }
  const int c[][3]{{176, 104, 48}, {196, 140, 76}, {60, 110, 160}, {190, 150, 96}};
  const auto& k = c[r.whole(0, 3)];
  const Surface body{linear_bgr_of_srgb(k[0], k[1], k[2]), 0.4f, 0};
  b.solid(
      {0, 0}, w / 2,
      [&](cv::Point2d q) { return (std::hypot(2 * q.x / w, 2 * q.y / h) - 1) * h / 2; },
      [&](cv::Point2d q) {
        const double t = std::min(std::hypot(2 * q.x / w, 2 * q.y / h), 1.0);
        return p.height_mm * (0.5 + 0.5 * std::sqrt(1 - t * t));
      },
      [&](cv::Point2d) { return body; });
}

}  // namespace verdigrid::synthetic
