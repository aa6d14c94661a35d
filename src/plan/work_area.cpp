#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include "plan/board_facts.h"

namespace verdigrid {

namespace {

constexpr int k_area_squares = 2;  // rows and columns of joined squares: common practice, no source

// Disjoint sets over the squares of the grid.
class Groups {
 public:
  explicit Groups(size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), size_t{0}); }
  size_t of(size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(size_t a, size_t b) { parent_[std::max(of(a), of(b))] = std::min(of(a), of(b)); }

 private:
  std::vector<size_t> parent_;
};

struct Cell {
  int row, column;
};

std::map<std::string, Cell> cells_of(const Grid& grid) {
  std::map<std::string, Cell> cells;
  for (int r = 0; r < grid.rows; ++r)
    for (int c = 0; c < grid.columns; ++c) cells[square_name(r, c)] = {r, c};
  return cells;
}

// The smallest zone that lists the finding.
const ZoneRow* zone_of(const ZoneTable& table, int finding) {
  const ZoneRow* best = nullptr;
  for (const ZoneRow& z : table.zones)
    if (std::binary_search(z.findings.begin(), z.findings.end(), finding) &&
        (!best || z.area < best->area))
      best = &z;
  return best;
}

struct Box {
  Cell low, high;
};

Box box_of(const std::vector<Cell>& cells) {
  Box box{cells.front(), cells.front()};
  for (const Cell& c : cells) {
    box.low = {std::min(box.low.row, c.row), std::min(box.low.column, c.column)};
    box.high = {std::max(box.high.row, c.row), std::max(box.high.column, c.column)};
  }
  return box;
}

std::string name_of(const std::vector<Cell>& cells) {
  const auto [low, high] = box_of(cells);
  const std::string first = square_name(low.row, low.column);
  const std::string last = square_name(high.row, high.column);
  return first == last ? first : first + " to " + last;
}

// Squares that touch, as long as the area stays within reach of one hand.
void join_neighbours(Groups& groups, const std::vector<Cell>& cells) {
  const auto is_small_together = [&](size_t a, size_t b) {
    std::vector<Cell> both;
    for (size_t i = 0; i < cells.size(); ++i)
      if (groups.of(i) == groups.of(a) || groups.of(i) == groups.of(b)) both.push_back(cells[i]);
    const Box box = box_of(both);
    return box.high.row - box.low.row < k_area_squares &&
           box.high.column - box.low.column < k_area_squares;
  };
  for (size_t a = 0; a < cells.size(); ++a)
    for (size_t b = a + 1; b < cells.size(); ++b)
      if (std::abs(cells[a].row - cells[b].row) + std::abs(cells[a].column - cells[b].column) ==
              1 &&
          is_small_together(a, b))
        groups.join(a, b);
}

// Areas of findings that lie in no zone.
std::vector<WorkArea> square_areas(const Grid& grid, const std::vector<FindingFact>& findings) {
  const std::map<std::string, Cell> known = cells_of(grid);
  std::map<std::string, size_t> index;
  std::vector<Cell> cells;
  std::vector<std::string> names;
  for (const FindingFact& f : findings)
    for (const std::string& square : f.squares)
      if (known.contains(square) && index.emplace(square, cells.size()).second)
        cells.push_back(known.at(square)), names.push_back(square);
  Groups groups(cells.size());
  for (const FindingFact& f : findings)
    for (const std::string& square : f.squares)
      if (index.contains(square)) groups.join(index.at(f.squares.front()), index.at(square));
  join_neighbours(groups, cells);

  std::map<size_t, WorkArea> areas;
  std::map<size_t, std::vector<Cell>> members;
  for (size_t i = 0; i < cells.size(); ++i) {
    areas[groups.of(i)].squares.push_back(names[i]);
    members[groups.of(i)].push_back(cells[i]);
  }
  for (const FindingFact& f : findings)
    if (!f.squares.empty() && index.contains(f.squares.front()))
      areas[groups.of(index.at(f.squares.front()))].findings.push_back(f.id);
  std::vector<WorkArea> list;
  for (auto& [group, area] : areas) {
    area.name = name_of(members.at(group));
    list.push_back(std::move(area));
  }
  return list;
}

}  // namespace

std::vector<WorkArea> work_areas(const ZoneTable& table, const std::vector<FindingFact>& findings) {
  std::vector<WorkArea> areas;
  std::vector<FindingFact> outside;
  for (const FindingFact& f : findings) {
    const ZoneRow* zone = zone_of(table, f.id);
    if (!zone) {
      outside.push_back(f);
      continue;
    }
    auto at = std::find_if(areas.begin(), areas.end(),
                           [zone](const WorkArea& a) { return a.name == zone->name; });
    if (at == areas.end()) at = areas.insert(areas.end(), {zone->name, {}, {}});
    at->findings.push_back(f.id);
    for (const std::string& square : f.squares)
      if (std::find(at->squares.begin(), at->squares.end(), square) == at->squares.end())
        at->squares.push_back(square);
  }
  for (WorkArea& a : square_areas(table.grid, outside)) areas.push_back(std::move(a));
  return areas;
}

}  // namespace verdigrid
