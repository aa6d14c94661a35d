#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "layout/frame.h"
#include "layout/import.h"
#include "layout/kicad_shapes.h"
#include "layout/outline_join.h"
#include "layout/outline_say.h"
#include "layout/s_expression.h"

namespace verdigrid {

namespace {

// The first format with brackets had version 3; boards of 2023 and later carry "property" fields
// for reference and value, which are read too.
constexpr double k_join_gap_mm = 0.05;

cv::Point2d turned(cv::Point2d p, double angle_deg) {
  const double a = angle_deg * std::numbers::pi / 180, c = std::cos(a), s = std::sin(a);
  return {c * p.x + s * p.y, -s * p.x + c * p.y};
}

struct Box {
  cv::Rect2d rect;
  bool is_empty = true;
  void add(cv::Point2d p) {
    if (is_empty) {
      rect = {p.x, p.y, 0, 0};
      is_empty = false;
      return;
    }
    const double x1 = std::max(rect.x + rect.width, p.x), y1 = std::max(rect.y + rect.height, p.y);
    rect.x = std::min(rect.x, p.x);
    rect.y = std::min(rect.y, p.y);
    rect.width = x1 - rect.x;
    rect.height = y1 - rect.y;
  }
  bool has_area() const { return !is_empty && rect.width > 0 && rect.height > 0; }
};

// One footprint node turned into a part.
class Footprint {
 public:
  Footprint(const SNode& node, std::string_view where) : node_(node), where_(where) {}

  Part part();
  const std::vector<Polyline>& edges() const { return edges_; }  // board frame of the file
  const std::vector<Hole>& holes() const { return holes_; }
  enum class BodyFrom { fab, courtyard, pads, nothing };
  BodyFrom body_from() const { return body_from_; }

 private:
  [[noreturn]] void refuse(const std::string& what) const {
    throw Error(ErrorKind::bad_input, fmt::format("{}: line {}: {}.", where_, node_.line, what));
  }
  void read_texts(Part& part) const;
  void read_shapes();
  void read_pads(Part& part);
  void settle_body(Part& part);
  void settle_negative_end(Part& part) const;
  cv::Point2d on_board(cv::Point2d p) const { return at_ + turned(p, angle_deg_); }

  const SNode& node_;
  std::string where_;
  cv::Point2d at_;
  double angle_deg_ = 0;
  Box fab_, courtyard_, pads_;
  double fab_circle_mm_ = 0;  // largest diameter on the fab layer
  std::vector<Polyline> edges_;
  std::vector<Hole> holes_;
  BodyFrom body_from_ = BodyFrom::nothing;
};

void Footprint::read_texts(Part& part) const {
  for (const SNode& child : node_.children) {
    const bool is_text = child.name == "fp_text", is_property = child.name == "property";
    if (!is_text && !is_property) continue;
    const std::string key = child.atom(0);
    if (key == (is_text ? "reference" : "Reference") && part.designator.empty())
      part.designator = child.atom(1);
    if (key == (is_text ? "value" : "Value") && part.value.empty()) part.value = child.atom(1);
  }
}

void Footprint::read_shapes() {
  for (const SNode& child : node_.children) {
    const std::string layer = layer_of(child);
    const bool is_fab = layer.ends_with(".Fab"), is_courtyard = layer.ends_with(".CrtYd"),
               is_edge = layer == "Edge.Cuts";
    if (!is_fab && !is_courtyard && !is_edge) continue;
    for (Polyline& line : shape_lines(child, where_)) {
      for (const cv::Point2d& p : line) {
        if (is_fab) fab_.add(p);
        if (is_courtyard) courtyard_.add(p);
      }
      if (is_edge) {
        for (cv::Point2d& p : line) p = on_board(p);
        edges_.push_back(std::move(line));
      }
    }
    if (is_fab && child.name == "fp_circle")
      fab_circle_mm_ = std::max(fab_circle_mm_, circle_diameter(child));
  }
}

// "(net 5 "GND")", or without the number in later files; number 0 is no net. A slash inside a label
// is written in braces.
std::string net_of(const SNode& pad) {
  const SNode* node = pad.child("net");
  if (!node) return {};
  std::string net = node->atoms.size() > 1 ? node->atom(1) : node->atom(0);
  if (node->atoms.size() == 1 && node->number(0)) return {};
  constexpr std::string_view k_slash = "{slash}";
  for (size_t at = 0; (at = net.find(k_slash, at)) != std::string::npos; ++at) {
    net[at] = '/';
    net.erase(at + 1, k_slash.size() - 1);
  }
  return net;
}

void Footprint::read_pads(Part& part) {
  for (const SNode& child : node_.children) {
    if (child.name != "pad") continue;
    const SNode* at = child.child("at");
    const SNode* size = child.child("size");
    if (!at || !at->number(0) || !at->number(1)) refuse("a pad has no place");
    const cv::Point2d p{*at->number(0), *at->number(1)};
    const double w = size ? size->number(0).value_or(0) : 0,
                 h = size ? size->number(1).value_or(w) : 0;
    // The pad's angle is that of the board; its box in the footprint's frame is turned back.
    const double turn = (at->number(2).value_or(0) - angle_deg_) * std::numbers::pi / 180;
    const double dx = std::abs(std::cos(turn)) * w / 2 + std::abs(std::sin(turn)) * h / 2,
                 dy = std::abs(std::sin(turn)) * w / 2 + std::abs(std::cos(turn)) * h / 2;
    pads_.add(p - cv::Point2d(dx, dy));
    pads_.add(p + cv::Point2d(dx, dy));
    const std::string type = child.atom(1);
    if (type == "np_thru_hole") {
      holes_.push_back({on_board(p), std::max(0.0, std::min(w, h)), false});
      continue;
    }
    const double round = child.atom(2) == "circle" ? std::numbers::pi / 4 : 1;
    part.joints.push_back({child.atom(0), on_board(p),
                           2 * std::sqrt(std::abs(w * h) * round / std::numbers::pi),
                           type == "thru_hole", net_of(child)});
  }
}

void Footprint::settle_body(Part& part) {
  const Box* box = nullptr;
  if (fab_.has_area()) {
    box = &fab_;
    body_from_ = BodyFrom::fab;
  } else if (courtyard_.has_area()) {
    box = &courtyard_;
    body_from_ = BodyFrom::courtyard;
  } else if (pads_.has_area()) {
    box = &pads_;
    body_from_ = BodyFrom::pads;
  }
  part.centre = at_;
  if (!box) return;
  const cv::Rect2d& r = box->rect;
  part.centre = on_board({r.x + r.width / 2, r.y + r.height / 2});
  part.body = r.size();
  // A circle that spans the whole drawing is a can or a cell.
  if (box == &fab_ && fab_circle_mm_ > 0.98 * std::max(r.width, r.height)) {
    part.shape = BodyShape::round;
    part.body = {fab_circle_mm_, fab_circle_mm_};
  }
}

// Polarised two-pin parts: pad 2 (or "-") is the negative one, by the library's own rule for
// polarised capacitors and cells.
void Footprint::settle_negative_end(Part& part) const {
  if (!may_leak(part.kind) && part.kind != PartKind::tantalum) return;
  cv::Point2d negative, positive;
  int found = 0;
  for (const Joint& joint : part.joints) {
    if (joint.pin == "2" || joint.pin == "-") {
      negative = joint.centre;
      found |= 1;
    } else if (joint.pin == "1" || joint.pin == "+") {
      positive = joint.centre;
      found |= 2;
    }
  }
  if (found != 3) return;
  const cv::Point2d d = to_part_frame(part, negative) - to_part_frame(part, positive);
  if (std::abs(d.x) >= std::abs(d.y))
    part.negative_end = d.x < 0 ? NegativeEnd::left : NegativeEnd::right;
  else
    part.negative_end = d.y < 0 ? NegativeEnd::up : NegativeEnd::down;
}

Part Footprint::part() {
  Part part;
  const SNode* at = node_.child("at");
  if (!at || !at->number(0) || !at->number(1)) refuse("a footprint has no place");
  at_ = {*at->number(0), *at->number(1)};
  angle_deg_ = at->number(2).value_or(0);
  part.package = node_.atom(0);
  if (const size_t colon = part.package.find(':'); colon != std::string::npos)
    part.package.erase(0, colon + 1);
  part.side = layer_of(node_) == "B.Cu" ? Side::back : Side::front;
  // Footprints on the back are stored mirrored top to bottom; our own frame is mirrored left to
  // right, which is half a turn more.
  part.rotation_deg = turn_in_circle(angle_deg_ + (part.side == Side::back ? 180 : 0));
  read_texts(part);
  read_shapes();
  read_pads(part);
  part.kind = likely_kind(part.designator, part.value, part.package);
  settle_body(part);
  settle_negative_end(part);
  return part;
}

// Vias as plated holes.
void read_via(const SNode& node, std::vector<Hole>& holes) {
  const SNode* at = node.child("at");
  const SNode* size = node.child("size");
  if (!at || !at->number(0) || !at->number(1)) return;
  const SNode* drill = node.child("drill");
  const double d = drill && drill->number(0) ? *drill->number(0)
                   : size && size->number(0) ? *size->number(0) / 2
                                             : 0;
  if (d > 0) holes.push_back({{*at->number(0), *at->number(1)}, d, true});
}

struct Counts {
  size_t courtyard = 0, pads = 0, nothing = 0, unnamed = 0;
};

void say_counts(const Counts& n, std::vector<std::string>& remarks) {
  if (n.courtyard > 0)
    remarks.push_back(
        fmt::format("{} parts have their courtyard as body, which is wider.", n.courtyard));
  if (n.pads > 0)
    remarks.push_back(fmt::format("{} parts have the box of their pads as body.", n.pads));
  if (n.nothing > 0) remarks.push_back(fmt::format("{} parts have no known body.", n.nothing));
  if (n.unnamed > 0)
    remarks.push_back(fmt::format("{} parts have no reference and were numbered.", n.unnamed));
}

void read_footprint(const SNode& node, std::string_view where, Layout& layout,
                    std::vector<Polyline>& edges, Counts& counts) {
  Footprint footprint(node, where);
  Part part = footprint.part();
  if (part.designator.empty()) part.designator = fmt::format("unnamed-{}", ++counts.unnamed);
  switch (footprint.body_from()) {
    case Footprint::BodyFrom::fab:
      break;
    case Footprint::BodyFrom::courtyard:
      ++counts.courtyard;
      break;
    case Footprint::BodyFrom::pads:
      ++counts.pads;
      break;
    case Footprint::BodyFrom::nothing:
      ++counts.nothing;
      break;
  }
  edges.insert(edges.end(), footprint.edges().begin(), footprint.edges().end());
  layout.holes.insert(layout.holes.end(), footprint.holes().begin(), footprint.holes().end());
  layout.parts.push_back(std::move(part));
}

}  // namespace

Imported imported_kicad(std::string_view text, std::string_view where) {
  const SNode root = s_expression(text, where);
  if (root.name != "kicad_pcb")
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}: not a KiCad board; choose the file that ends in .kicad_pcb.", where));
  Imported out;
  out.format = LayoutFormat::kicad;
  Counts counts;
  std::vector<Polyline> edges;
  for (const SNode& node : root.children) {
    if (node.name == "footprint" || node.name == "module") {
      read_footprint(node, where, out.layout, edges, counts);
    } else if (node.name == "via") {
      read_via(node, out.layout.holes);
    } else if (node.name.starts_with("gr_") && layer_of(node) == "Edge.Cuts") {
      for (Polyline& line : shape_lines(node, where)) edges.push_back(std::move(line));
    }
  }
  out.layout.source = {LayoutOrigin::kicad, std::string(where), {}};
  out.layout.outline = said_outline(edges, k_join_gap_mm, where, out.layout.source.remarks);
  say_counts(counts, out.layout.source.remarks);
  if (const SNode* title = root.child("title_block")) {
    if (const SNode* t = title->child("title")) out.layout.board_type = t->atom(0);
    if (const SNode* r = title->child("rev")) out.layout.revision = r->atom(0);
  }
  return out;
}

}  // namespace verdigrid
