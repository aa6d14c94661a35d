#include "layout/kicad_shapes.h"

#include <fmt/format.h>

#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_sag_mm = 0.01;
constexpr int k_bezier_steps = 32;

[[noreturn]] void refuse(const SNode& node, std::string_view where) {
  throw Error(ErrorKind::bad_input,
              fmt::format("{}: line {}: the shape {} lacks a point; the file is damaged, export it "
                          "again.",
                          where, node.line, node.name));
}

std::optional<cv::Point2d> point(const SNode* node) {
  if (!node) return std::nullopt;
  const auto x = node->number(0), y = node->number(1);
  if (!x || !y) return std::nullopt;
  return cv::Point2d(*x, *y);
}

cv::Point2d needed(const SNode& node, std::string_view name, std::string_view where) {
  if (const auto p = point(node.child(name))) return *p;
  refuse(node, where);
}

Polyline listed(const SNode& node, std::string_view where) {
  const SNode* pts = node.child("pts");
  if (!pts) refuse(node, where);
  Polyline line;
  for (const SNode& item : pts->children) {
    if (item.name == "xy") {
      const auto p = point(&item);
      if (!p) refuse(node, where);
      line.push_back(*p);
    } else if (item.name == "arc") {
      const Polyline arc = arc_through(needed(item, "start", where), needed(item, "mid", where),
                                       needed(item, "end", where), k_sag_mm);
      line.insert(line.end(), arc.begin(), arc.end());
    }
  }
  return line;
}

Polyline arc(const SNode& node, std::string_view where) {
  const cv::Point2d start = needed(node, "start", where), end = needed(node, "end", where);
  if (const auto middle = point(node.child("mid")))
    return arc_through(start, *middle, end, k_sag_mm);
  // Until 2020: "start" is the centre, "end" the arc's start, the angle runs x towards y.
  const SNode* angle = node.child("angle");
  if (!angle || !angle->number(0)) refuse(node, where);
  return arc_about(start, end, *angle->number(0) * std::numbers::pi / 180, k_sag_mm);
}

Polyline bezier(const Polyline& p) {
  Polyline line;
  for (int i = 0; i <= k_bezier_steps; ++i) {
    const double t = double(i) / k_bezier_steps, u = 1 - t;
    line.push_back(p[0] * (u * u * u) + p[1] * (3 * u * u * t) + p[2] * (3 * u * t * t) +
                   p[3] * (t * t * t));
  }
  return line;
}

}  // namespace

std::string layer_of(const SNode& node) {
  const SNode* layer = node.child("layer");
  return layer ? layer->atom(0) : std::string();
}

double circle_diameter(const SNode& node) {
  const auto centre = point(node.child("center")), end = point(node.child("end"));
  if (!node.name.ends_with("_circle") || !centre || !end) return 0;
  return 2 * cv::norm(*end - *centre);
}

std::vector<Polyline> shape_lines(const SNode& node, std::string_view where) {
  const std::string_view name = node.name;
  if (name.size() < 4 || (!name.starts_with("gr_") && !name.starts_with("fp_"))) return {};
  const std::string_view shape = name.substr(3);
  if (shape == "line") return {{needed(node, "start", where), needed(node, "end", where)}};
  if (shape == "rect") {
    const cv::Point2d a = needed(node, "start", where), b = needed(node, "end", where);
    return {{a, {b.x, a.y}, b, {a.x, b.y}, a}};
  }
  if (shape == "circle") {
    const cv::Point2d centre = needed(node, "center", where), end = needed(node, "end", where);
    return {arc_about(centre, end, 2 * std::numbers::pi, k_sag_mm)};
  }
  if (shape == "arc") return {arc(node, where)};
  if (shape == "poly") {
    Polyline line = listed(node, where);
    if (line.size() < 3) return {};
    line.push_back(line.front());
    return {line};
  }
  if (shape == "curve") {
    const Polyline line = listed(node, where);
    if (line.size() != 4) refuse(node, where);
    return {bezier(line)};
  }
  return {};
}

}  // namespace verdigrid
