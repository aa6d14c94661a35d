// Silkscreen: part outlines, designators, polarity signs, pin 1 marks, titles.
#include <fmt/format.h>

#include "synthetic/art.h"
#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

PrintedLine local_line(const PlacedPart& p, const std::vector<cv::Point2d>& local, bool is_closed) {
  PrintedLine line{{}, is_closed, 0.2, p.side};
  for (const cv::Point2d q : local) line.path_mm.push_back(board_point_of(p, q));
  return line;
}

std::vector<cv::Point2d> circle_points(cv::Point2d centre, double radius) {
  std::vector<cv::Point2d> points;
  for (int i = 0; i < 32; ++i)
    points.push_back(centre +
                     radius * cv::Point2d(std::cos(i * CV_PI / 16), std::sin(i * CV_PI / 16)));
  return points;
}

void add_outline(const PlacedPart& p, Art& art) {
  const double w = p.body_mm.width / 2 + 0.35, h = p.body_mm.height / 2 + 0.35;
  if (p.kind == Kind::label) return;
  if (p.is_round) {
    art.lines.push_back(local_line(p, circle_points({0, 0}, w), true));
  } else if (p.kind == Kind::dip || p.kind == Kind::soic || p.kind == Kind::dip_socket) {
    const double y = p.kind == Kind::dip ? h * 0.72 : h;
    art.lines.push_back(local_line(p,
                                   {{-w, -0.8},
                                    {-w, -y},
                                    {w, -y},
                                    {w, y},
                                    {-w, y},
                                    {-w, 0.8},
                                    {-w + 1.1, 0.8},
                                    {-w + 1.1, -0.8}},
                                   true));
  } else {
    art.lines.push_back(local_line(p, {{-w, -h}, {w, -h}, {w, h}, {-w, h}}, true));
  }
  if (!p.is_polarised) return;
  const cv::Point2d plus{-w - 1.3, p.is_round ? -0.9 : 0};
  for (const cv::Point2d d : {cv::Point2d{0.7, 0}, cv::Point2d{0, 0.7}})
    art.lines.push_back(local_line(p, {plus - d, plus + d}, false));
}

// Upright or reading from the right, as assembly prints are.
double reading_deg(double rotation_deg) {
  const double r = std::fmod(rotation_deg + 360, 180);
  return r > 45 && r < 135 ? 90 : 0;
}

void add_designator(const PlacedPart& p, Random& random, Art& art) {
  if (p.kind == Kind::label) return;
  const double text = p.body_mm.width < 4 ? 1.0 : 1.4;
  const double gap = p.body_mm.height / 2 + text * 0.9 + (p.pins > 6 ? 1.6 : 0.4);
  const cv::Point2d at = board_point_of(
      p, {random.uniform(-0.2, 0.2) * p.body_mm.width, random.chance(0.7) ? -gap : gap});
  if (at.x < 3 || at.y < 2) return;
  art.letterings.push_back({p.designator, at, text, reading_deg(p.rotation_deg), p.side});
}

}  // namespace

void add_printing(const BoardSpec& spec, Art& art) {
  Random random(mixed(spec.type_seed, 13));
  for (const PlacedPart& p : spec.parts) {
    add_outline(p, art);
    add_designator(p, random, art);
  }
  const double w = spec.size_mm.width, h = spec.size_mm.height;
  const double size = std::clamp(w / 45, 1.6, 3.2);
  const double title = static_cast<double>(spec.title.size()) * size * 0.42;
  art.letterings.push_back({spec.title,
                            {std::min(w - title - 8, std::max(title + 8, w * 0.4)), h - 3.6},
                            size,
                            0,
                            Side::front});
  const int year = random.whole(82, 98), week = random.whole(1, 52), letter = random.whole(0, 5);
  art.letterings.push_back(
      {fmt::format("REV {}  {:02}/{}", static_cast<char>('A' + letter), week, year),
       {w * 0.72, h - 2.6},
       1.3,
       0,
       Side::front});
  art.letterings.push_back({"SOLDER SIDE", {w * 0.5, 3.2}, 1.6, 0, Side::back});
}

}  // namespace verdigrid::synthetic
