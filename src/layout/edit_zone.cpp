#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <map>
#include <set>

#include "base/error.h"
#include "layout/edit.h"

namespace verdigrid {

namespace {

[[noreturn]] void refuse(const std::string& sentence) {
  throw Error(ErrorKind::bad_input, sentence);
}

cv::Point2d centre_of(const Grid& grid, Square s) {
  const cv::Rect2d r = square_rect(grid, s.row, s.column);
  return {r.x + r.width / 2, r.y + r.height / 2};
}

bool is_on(const Grid& grid, Square s) {
  return s.row >= 0 && s.row < grid.rows && s.column >= 0 && s.column < grid.columns;
}

bool stops_flood(const Layout& layout, Square s) {
  if (!is_on(*layout.grid, s)) return true;
  const cv::Point2d p = centre_of(*layout.grid, s);
  if (!layout.outline.empty() && !contains(layout.outline, p)) return true;
  return std::any_of(layout.zones.begin(), layout.zones.end(),
                     [&](const Zone& zone) { return contains(zone.polygon, p); });
}

constexpr Square k_steps[4] = {{0, 1}, {1, 0}, {0, -1}, {-1, 0}};

// Squares reachable by edges from `start` where `is_open` holds.
template <typename F>
std::set<Square> reachable(Square start, F is_open) {
  std::set<Square> seen;
  if (!is_open(start)) return seen;
  std::deque<Square> queue{start};
  seen.insert(start);
  while (!queue.empty()) {
    const Square s = queue.front();
    queue.pop_front();
    for (const Square& step : k_steps) {
      const Square next{s.row + step.row, s.column + step.column};
      if (!seen.contains(next) && is_open(next)) {
        seen.insert(next);
        queue.push_back(next);
      }
    }
  }
  return seen;
}

using Corner = std::pair<int, int>;  // column, row of the grid's lines

// Border edges with the squares on their right-hand side (clockwise rings, y down).
std::multimap<Corner, Corner> border_edges(const std::set<Square>& squares) {
  std::multimap<Corner, Corner> edges;
  for (const Square& s : squares) {
    const int c = s.column, r = s.row;
    if (!squares.contains({r - 1, c})) edges.insert({{c, r}, {c + 1, r}});
    if (!squares.contains({r, c + 1})) edges.insert({{c + 1, r}, {c + 1, r + 1}});
    if (!squares.contains({r + 1, c})) edges.insert({{c + 1, r + 1}, {c, r + 1}});
    if (!squares.contains({r, c - 1})) edges.insert({{c, r + 1}, {c, r}});
  }
  return edges;
}

// Of the edges leaving `at`, the one that turns most to the right: squares that touch at a corner
// only stay apart.
std::multimap<Corner, Corner>::iterator next_edge(std::multimap<Corner, Corner>& edges, Corner from,
                                                  Corner at) {
  const auto [first, last] = edges.equal_range(at);
  auto best = first;
  int best_turn = -2;
  for (auto it = first; it != last; ++it) {
    const int ax = at.first - from.first, ay = at.second - from.second;
    const int bx = it->second.first - at.first, by = it->second.second - at.second;
    const int turn = ax * by - ay * bx;
    if (turn > best_turn) {
      best_turn = turn;
      best = it;
    }
  }
  return best;
}

std::vector<std::vector<Corner>> traced_rings(std::multimap<Corner, Corner> edges) {
  std::vector<std::vector<Corner>> rings;
  while (!edges.empty()) {
    std::vector<Corner> ring;
    const Corner start = edges.begin()->first;
    Corner from = start, at = edges.begin()->second;
    edges.erase(edges.begin());
    ring.push_back(start);
    while (at != start) {
      const auto edge = next_edge(edges, from, at);
      const Corner to = edge->second;
      const bool is_straight = (at.first - from.first) * (to.second - at.second) ==
                               (at.second - from.second) * (to.first - at.first);
      if (!is_straight) ring.push_back(at);
      edges.erase(edge);
      from = at;
      at = to;
    }
    rings.push_back(std::move(ring));
  }
  return rings;
}

}  // namespace

Layout with_zone(const Layout& layout, Zone zone) {
  if (zone.name.empty()) refuse("A zone needs a name; type one.");
  for (const Zone& other : layout.zones)
    if (other.name == zone.name)
      refuse(fmt::format("There is a zone \"{}\" already; choose another name.", zone.name));
  if (zone.polygon.empty() || area(zone.polygon) <= 0)
    refuse(
        fmt::format("Zone \"{}\" has no area; mark at least three points that are not on one "
                    "line.",
                    zone.name));
  zone.polygon.outer = clockwise(std::move(zone.polygon.outer));
  Layout out = layout;
  out.zones.push_back(std::move(zone));
  return out;
}

Ring rectangle_ring(cv::Point2d a, cv::Point2d b) {
  const double x0 = std::min(a.x, b.x), x1 = std::max(a.x, b.x);
  const double y0 = std::min(a.y, b.y), y1 = std::max(a.y, b.y);
  return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

std::optional<Square> square_named(const Grid& grid, const std::string& name) {
  for (int row = 0; row < grid.rows; ++row) {
    const std::string letters = row_letters(row);
    if (name.rfind(letters, 0) != 0) continue;
    for (int column = 0; column < grid.columns; ++column)
      if (name == square_name(row, column)) return Square{row, column};
  }
  return std::nullopt;
}

std::vector<Square> flooded_squares(const Layout& layout, Square start) {
  if (!layout.grid) refuse("The layout has no grid; give it an outline first.");
  const std::set<Square> found =
      reachable(start, [&](Square s) { return !stops_flood(layout, s); });
  return {found.begin(), found.end()};
}

Polygon squares_polygon(const Grid& grid, const std::vector<Square>& squares) {
  if (squares.empty()) refuse("No square is chosen; choose at least one.");
  const std::set<Square> set(squares.begin(), squares.end());
  for (const Square& s : set)
    if (!is_on(grid, s)) refuse("A square lies outside the grid; choose squares of the grid.");
  if (reachable(*set.begin(), [&](Square s) { return set.contains(s); }).size() != set.size())
    refuse("The squares do not hang together; make one zone for each group.");
  Polygon out;
  for (const std::vector<Corner>& corners : traced_rings(border_edges(set))) {
    Ring ring;
    for (const auto& [c, r] : corners)
      ring.emplace_back(grid.frame.x + c * grid.square_width(),
                        grid.frame.y + r * grid.square_height());
    if (signed_area(ring) > 0)
      out.outer = std::move(ring);
    else
      out.holes.push_back(std::move(ring));
  }
  return out;
}

}  // namespace verdigrid
