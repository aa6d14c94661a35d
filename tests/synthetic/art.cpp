#include "synthetic/art.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_cell_mm = 0.635;  // quarter of 2.54 mm: trace and gap of old boards

struct Cell {
  int x = 0, y = 0;
  bool operator==(const Cell&) const = default;
};

// Which net owns each cell of both copper layers; 0 free, -1 nobody may.
class Field {
 public:
  explicit Field(cv::Size2d size_mm)
      : width_(static_cast<int>(size_mm.width / k_cell_mm)),
        height_(static_cast<int>(size_mm.height / k_cell_mm)),
        owner_{std::vector<int>(static_cast<size_t>(width_ * height_)),
               std::vector<int>(static_cast<size_t>(width_ * height_))} {}

  Cell cell(cv::Point2d p) const {
    return {static_cast<int>(std::lround(p.x / k_cell_mm)),
            static_cast<int>(std::lround(p.y / k_cell_mm))};
  }
  cv::Point2d point(Cell c) const { return {c.x * k_cell_mm, c.y * k_cell_mm}; }
  bool is_open(int layer, Cell c, int net) const {
    if (c.x < 2 || c.y < 2 || c.x >= width_ - 1 || c.y >= height_ - 1) return false;
    const int o = owner_[static_cast<size_t>(layer)][index(c)];
    return o == 0 || o == net;
  }
  void take(int layer, Cell c, int net) {
    if (c.x >= 0 && c.y >= 0 && c.x < width_ && c.y < height_)
      owner_[static_cast<size_t>(layer)][index(c)] = net;
  }
  void take_disc(int layer, cv::Point2d p, double radius_mm, int net) {
    const int n = static_cast<int>(radius_mm / k_cell_mm) + 1;
    const Cell c = cell(p);
    for (int y = -n; y <= n; ++y)
      for (int x = -n; x <= n; ++x) {
        const Cell q{c.x + x, c.y + y};
        if (cv::norm(point(q) - p) <= radius_mm) take(layer, q, net);
      }
  }

 private:
  size_t index(Cell c) const { return static_cast<size_t>(c.y * width_ + c.x); }
  int width_, height_;
  std::vector<int> owner_[2];
};

struct Terminal {
  Pad pad;
  int net = 0;
  size_t part = 0;
  Side side = Side::front;
};

int sign(int v) { return (v > 0) - (v < 0); }

// Cells from a to b: a straight run of `lead` cells, the diagonal, the straight rest.
std::vector<Cell> dogleg(Cell a, Cell b, double lead_share) {
  std::vector<Cell> path{a};
  const auto step = [&](int dx, int dy, int n) {
    for (int i = 0; i < n; ++i) path.push_back({path.back().x + dx, path.back().y + dy});
  };
  const int dx = b.x - a.x, dy = b.y - a.y, diagonal = std::min(std::abs(dx), std::abs(dy));
  const int straight = std::max(std::abs(dx), std::abs(dy)) - diagonal;
  const int lead = static_cast<int>(straight * lead_share);
  const bool is_wide = std::abs(dx) >= std::abs(dy);
  const int sx = is_wide ? sign(dx) : 0, sy = is_wide ? 0 : sign(dy);
  step(sx, sy, lead);
  step(sign(dx), sign(dy), diagonal);
  step(sx, sy, straight - lead);
  return path;
}

// How many cells of the path are free for the net, crossing diagonals included.
size_t open_length(const Field& field, int layer, const std::vector<Cell>& path, int net) {
  for (size_t i = 0; i < path.size(); ++i) {
    if (!field.is_open(layer, path[i], net)) return i;
    if (i == 0) continue;
    const Cell a = path[i - 1], b = path[i];
    if (a.x != b.x && a.y != b.y &&
        (!field.is_open(layer, {a.x, b.y}, net) && !field.is_open(layer, {b.x, a.y}, net)))
      return i;
  }
  return path.size();
}

// Only the bends of a run of cells.
std::vector<cv::Point2d> bends(const Field& field, const std::vector<Cell>& path, size_t count) {
  std::vector<cv::Point2d> points;
  for (size_t i = 0; i < count; ++i) {
    const bool is_end = i == 0 || i + 1 == count;
    if (!is_end && path[i].x - path[i - 1].x == path[i + 1].x - path[i].x &&
        path[i].y - path[i - 1].y == path[i + 1].y - path[i].y)
      continue;
    points.push_back(field.point(path[i]));
  }
  return points;
}

class Router {
 public:
  Router(const BoardSpec& spec, Art& art)
      : spec_(spec), art_(art), field_(spec.size_mm), random_(mixed(spec.type_seed, 11)) {}

  void run() {
    collect();
    for (int pass = 0; pass < 4; ++pass)
      for (size_t p = 0; p < spec_.parts.size(); ++p) bundle(p);
    for (int i = 0; i < static_cast<int>(spec_.size_mm.area() / 260); ++i) stray_via();
  }

 private:
  void collect() {
    int net = 0;
    for (size_t p = 0; p < spec_.parts.size(); ++p)
      for (const Pad& pad : pads_of(spec_.parts[p])) {
        terminals_.push_back({pad, ++net, p, spec_.parts[p].side});
        const double radius = std::max(pad.size_mm.width, pad.size_mm.height) / 2 + 0.2;
        for (int layer = 0; layer < 2; ++layer)
          if (pad.is_through || layer == (spec_.parts[p].side == Side::back))
            field_.take_disc(layer, pad.centre_mm, radius, net);
      }
    for (const RoundHole& h : art_.holes)
      for (int layer = 0; layer < 2; ++layer)
        field_.take_disc(layer, h.centre_mm, h.diameter_mm / 2 + 1.6, -1);
    for (const Finger& f : art_.fingers)
      for (double y = f.box_mm.y - 1; y < f.box_mm.br().y; y += k_cell_mm)
        for (double x = f.box_mm.x - 1; x < f.box_mm.br().x + 1; x += k_cell_mm)
          for (int layer = 0; layer < 2; ++layer) field_.take(layer, field_.cell({x, y}), -1);
  }

  // Neighbouring pins of one part go to neighbouring pins of another: bundles run side by side.
  void bundle(size_t part) {
    std::vector<size_t> own, others;
    for (size_t i = 0; i < terminals_.size(); ++i) {
      if (terminals_[i].part == part) own.push_back(i);
    }
    if (own.empty() || spec_.parts.size() < 2) return;
    size_t target = part, at = 0;
    int left = 0;
    double lead = 0.5;
    for (const size_t i : own) {
      if (left == 0) {
        target = near_part(part);
        others.clear();
        for (size_t k = 0; k < terminals_.size(); ++k)
          if (terminals_[k].part == target) others.push_back(k);
        left = random_.whole(3, 10);
        at = static_cast<size_t>(random_.whole(0, 1000));
        lead = random_.pick(std::vector<double>{0.1, 0.5, 0.9});
      }
      --left;
      if (others.empty() || random_.chance(0.12)) continue;
      connect(terminals_[i], terminals_[others[at++ % others.size()]], lead);
    }
  }

  size_t near_part(size_t part) {
    size_t best = part;
    double best_distance = 1e9;
    for (int i = 0; i < 4; ++i) {
      const auto p =
          static_cast<size_t>(random_.whole(0, static_cast<int>(spec_.parts.size()) - 1));
      const double d = cv::norm(spec_.parts[p].centre_mm - spec_.parts[part].centre_mm);
      if (p != part && d < best_distance) {
        best = p;
        best_distance = d;
      }
    }
    return best;
  }

  double width_for(size_t part) {
    const Kind k = spec_.parts[part].kind;
    const bool is_power =
        may_leak(k) || k == Kind::power_connector || k == Kind::terminal_block || k == Kind::relay;
    return is_power ? random_.uniform(0.8, 1.8) : random_.chance(0.12) ? 0.6 : 0.3;
  }

  void lay(int layer, const std::vector<Cell>& path, size_t count, int net, double width,
           std::optional<cv::Point2d> start, std::optional<cv::Point2d> end) {
    for (size_t i = 0; i < count; ++i) {
      field_.take(layer, path[i], net);
      if (width > 0.5) field_.take_disc(layer, field_.point(path[i]), width / 2 + 0.3, net);
    }
    Trace t{bends(field_, path, count), width, layer == 0 ? Side::front : Side::back};
    if (start) t.path_mm.insert(t.path_mm.begin(), *start);
    if (end) t.path_mm.push_back(*end);
    art_.traces.push_back(std::move(t));
  }

  void connect(const Terminal& a, const Terminal& b, double lead) {
    const Cell from = field_.cell(a.pad.centre_mm), to = field_.cell(b.pad.centre_mm);
    const bool is_wide = std::abs(from.x - to.x) > std::abs(from.y - to.y);
    int layer = a.pad.is_through ? (is_wide ? 0 : 1) : a.side == Side::back;
    std::vector<Cell> path = dogleg(from, to, lead);
    if (path.size() < 3 || path.size() > 150) return;
    size_t open = open_length(field_, layer, path, a.net);
    const int first_layer = layer;
    for (const double other : {1 - lead, 0.5, lead})
      for (int l = 0; l < 2; ++l) {
        if (open > 12 || (!a.pad.is_through && l != first_layer)) continue;
        const std::vector<Cell> way = dogleg(from, to, other);
        const size_t length = open_length(field_, l, way, a.net);
        if (length <= open) continue;
        open = length;
        path = way;
        layer = l;
      }
    const bool is_whole =
        open + 3 >= path.size() && (b.pad.is_through || (layer == 1) == (b.side == Side::back));
    const size_t use = std::min(open, path.size());
    if (use < 5) return;
    const double width = width_for(a.part);
    lay(layer, path, use, a.net, width, a.pad.centre_mm,
        is_whole ? std::optional(b.pad.centre_mm) : std::nullopt);
    if (is_whole) return;
    const Cell end = path[use - 1];
    if (!add_via(end, a.net)) return;
    layer = 1 - layer;
    const std::vector<Cell> rest = dogleg(end, to, 1 - lead);
    const size_t more = open_length(field_, layer, rest, a.net);
    if (more < 4) return;
    const bool reaches = more + 3 >= rest.size() && b.pad.is_through;
    lay(layer, rest, more, a.net, std::min(width, 0.6), std::nullopt,
        reaches ? std::optional(b.pad.centre_mm) : std::nullopt);
    if (!reaches) add_via(rest[more - 1], a.net);
  }

  bool add_via(Cell c, int net) {
    for (int y = -1; y <= 1; ++y)
      for (int x = -1; x <= 1; ++x)
        for (int layer = 0; layer < 2; ++layer)
          if (!field_.is_open(layer, {c.x + x, c.y + y}, net)) return false;
    const cv::Point2d p = field_.point(c);
    for (const Via& v : art_.vias)
      if (cv::norm(v.centre_mm - p) < 1.2) return false;
    art_.vias.push_back({p, 1.0, 0.5, is_tented_});
    for (int layer = 0; layer < 2; ++layer) field_.take_disc(layer, p, 0.6, net);
    return true;
  }

  void stray_via() {
    const cv::Point2d p{random_.uniform(3, spec_.size_mm.width - 3),
                        random_.uniform(3, spec_.size_mm.height - 3)};
    const Cell c = field_.cell(p);
    add_via(c, 0);
  }

  const BoardSpec& spec_;
  Art& art_;
  Field field_;
  Random random_;
  std::vector<Terminal> terminals_;
  bool is_tented_ = random_.chance(0.4);
};

void add_holes_and_fingers(const BoardSpec& spec, Art& art) {
  Random random(mixed(spec.type_seed, 12));
  const double inset = random.uniform(3.5, 5), d = random.uniform(2.8, 3.6);
  const bool is_plated = random.chance(0.5);
  const cv::Size2d s = spec.size_mm;
  for (const cv::Point2d p : {cv::Point2d{inset, inset},
                              {s.width - inset, inset},
                              {s.width - inset, s.height - inset},
                              {inset, s.height - inset}})
    art.holes.push_back({p, d, is_plated});
  if (!random.chance(0.2) || s.width < 60) return;
  const int count = static_cast<int>(random.uniform(0.3, 0.55) * s.width / 2.54);
  const double left = random.uniform(12, std::max(13.0, s.width - 12 - count * 2.54));
  for (int i = 0; i < count; ++i)
    art.fingers.push_back({{left + i * 2.54, s.height - 7.5, 1.6, 7.5}});
}

}  // namespace

Art art_of(const BoardSpec& spec) {
  Art art;
  Random random(mixed(spec.type_seed, 10));
  art.has_pour_front = random.chance(0.35);
  art.has_pour_back = random.chance(0.45);
  add_holes_and_fingers(spec, art);
  Router(spec, art).run();
  if (spec.mask == MaskColour::phenolic) {  // one copper layer, on the back
    std::erase_if(art.traces, [](const Trace& t) { return t.side == Side::front; });
    art.vias.clear();
    art.has_pour_front = false;
  }
  add_printing(spec, art);
  return art;
}

}  // namespace verdigrid::synthetic
