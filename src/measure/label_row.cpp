#include "measure/label_row.h"

#include <algorithm>
#include <cstring>

namespace verdigrid {

void LabelRow::read(int y) {
  labels_ = input_.labels.ptr<std::uint8_t>(y);
  above_ = input_.labels.ptr<std::uint8_t>(std::max(y - 1, 0));
  below_ = input_.labels.ptr<std::uint8_t>(std::min(y + 1, input_.labels.rows - 1));
  findings_ = input_.finding_of_px.empty() ? nullptr : input_.finding_of_px.ptr<std::uint16_t>(y);
  runs_.clear();
  if (!input_.blocks.any(0, width_, y)) return;
  borders_.clear();
  mark_blocks(y);
  Run run;
  for (size_t block = 0; block < has_label_.size(); ++block)
    if (has_label_[block]) {
      const int first = static_cast<int>(block) * step_;
      read_block(first, std::min(first + step_, width_), run);
    }
  keep(run);
  if (runs_.empty()) return;
  place_ = input_.lattice.row(y);
  sum_blocks();
  index_runs();
}

void LabelRow::mark_blocks(int y) {
  const int blocks = (width_ + step_ - 1) / step_;
  has_label_.assign(static_cast<size_t>(blocks), 0);
  const char* may_hold_label = input_.blocks.of_row(y);
  for (int b = 0; b < blocks; ++b) {
    if (!may_hold_label[b]) continue;
    const int first = b * step_, end = std::min(first + step_, width_);
    std::uint64_t any = 0, word = 0;
    int x = first;
    for (; x + 8 <= end; x += 8) {
      std::memcpy(&word, labels_ + x, 8);
      any |= word;
    }
    for (; x < end; ++x) any |= labels_[x];
    has_label_[static_cast<size_t>(b)] = any != 0;
  }
}

// How many pixels from x on, eight or none, go on with the run and have nothing else round them.
int LabelRow::inner_px(int x, int end, const Run& run) const {
  constexpr int k_word = 8;
  constexpr std::uint64_t k_each_byte = 0x0101010101010101, k_each_pair = 0x0001000100010001;
  if (x != run.end || run.end == run.first || x + k_word > end || x + k_word >= width_) return 0;
  const std::uint64_t same = run.residue * k_each_byte;
  for (const std::uint8_t* from : {labels_ + x, labels_ + x + 1, above_ + x, below_ + x}) {
    std::uint64_t word = 0;
    std::memcpy(&word, from, k_word);
    if (word != same) return 0;
  }
  for (int half = 0; findings_ && half < 2; ++half) {
    std::uint64_t word = 0;
    std::memcpy(&word, findings_ + x + 4 * half, k_word);
    if (word != static_cast<std::uint64_t>(run.finding) * k_each_pair) return 0;
  }
  return k_word;
}

// `run` may go on from the block before.
void LabelRow::read_block(int first, int end, Run& run) {
  for (int x = first; x < end; ++x) {
    if (const int inner = inner_px(x, end, run); inner > 0) {
      run.end += inner;
      x += inner - 1;
      continue;
    }
    const std::uint8_t c = labels_[x];
    if (c == 0) continue;
    const int finding = findings_ ? findings_[x] : 0;
    if (x != run.end || c != run.residue || finding != run.finding || run.end == run.first) {
      keep(run);
      run = {x, x, c, finding, borders_.size(), 0, 0};
    }
    run.end = x + 1;
    Sides sides = sides_of(x);
    if (sides.differ == 0) continue;
    if (borders_.size() > run.first_border) {
      const Sides& before = borders_.back().sides;
      sides = {before.differ + sides.differ, before.open + sides.open};
    }
    borders_.push_back({x, sides});
  }
}

LabelRow::Sides LabelRow::sides_before(int x, const Run& run) const {
  const auto first = borders_.begin() + static_cast<std::ptrdiff_t>(run.first_border);
  const auto end = borders_.begin() + static_cast<std::ptrdiff_t>(run.end_border);
  const auto at =
      x == run.end ? end : std::lower_bound(first, end, x, [](const Border& border, int column) {
        return border.x < column;
      });
  return at == first ? Sides{} : (at - 1)->sides;
}

LabelRow::Sides LabelRow::sides_of(int x) const {
  Sides sides;
  for (const std::uint8_t side :
       {labels_[std::max(x - 1, 0)], labels_[std::min(x + 1, width_ - 1)], above_[x], below_[x]}) {
    sides.differ += side != labels_[x];
    sides.open += side == 0;
  }
  return sides;
}

void LabelRow::sum_blocks() {
  block_area_.assign(place_.area.size(), 0);
  for (size_t b = 0; b + 1 < place_.area.size(); ++b) {
    const double slope = (place_.area[b + 1] - place_.area[b]) / step_;
    block_area_[b + 1] = block_area_[b] + step_ * place_.area[b] + slope * step_ * (step_ - 1) / 2;
  }
}

void LabelRow::index_runs() {
  for (Run& run : runs_) run.area = area_before(run.end) - area_before(run.first);
  first_run_.resize(has_label_.size());
  size_t run = 0;
  for (size_t b = 0; b < first_run_.size(); ++b) {
    while (run < runs_.size() && runs_[run].end <= static_cast<int>(b) * step_) ++run;
    first_run_[b] = run;
  }
}

double LabelRow::area_before(int x) const {
  const size_t b = std::min(static_cast<size_t>(x / step_), place_.area.size() - 2);
  const double n = x - static_cast<double>(b) * step_;
  const double slope = (place_.area[b + 1] - place_.area[b]) / step_;
  return block_area_[b] + n * place_.area[b] + slope * n * (n - 1) / 2;
}

size_t LabelRow::square_of(int x, int block) const {
  const Grid& g = input_.grid;
  const auto b = static_cast<size_t>(block);
  const auto at_column = [&](const std::vector<double>& nodes) {
    return nodes[b] + (nodes[b + 1] - nodes[b]) * (x - block * step_) / step_;
  };
  const double u = (at_column(place_.x) - g.frame.x) / g.frame.width * g.columns;
  const double v = (at_column(place_.y) - g.frame.y) / g.frame.height * g.rows;
  const int column = std::clamp(static_cast<int>(u), 0, g.columns - 1);
  const int row = std::clamp(static_cast<int>(v), 0, g.rows - 1);
  return static_cast<size_t>(row * g.columns + column);
}

void LabelRow::add_squares(PixelSpan span, std::vector<LabelSums>& squares) const {
  for (int block = span.first / step_; block * step_ < span.end; ++block) {
    if (!has_label_[static_cast<size_t>(block)]) continue;
    int first = std::max(span.first, block * step_);
    const int end = std::min(span.end, (block + 1) * step_);
    // Positions are linear inside a block and squares are convex: equal ends, one square.
    const size_t last_square = square_of(end - 1, block);
    while (first < end) {
      const size_t square = square_of(first, block);
      int stop = end;
      if (square != last_square)
        for (stop = first + 1; stop < end && square_of(stop, block) == square;) ++stop;
      add({first, stop}, squares[square]);
      first = stop;
    }
  }
}

void LabelRow::add(PixelSpan span, LabelSums& sums) const {
  auto run = runs_.begin() +
             static_cast<std::ptrdiff_t>(first_run_[static_cast<size_t>(span.first / step_)]);
  while (run != runs_.end() && run->end <= span.first) ++run;
  for (; run != runs_.end() && run->first < span.end; ++run)
    add_part(*run, {std::max(span.first, run->first), std::min(span.end, run->end)}, sums);
}

void LabelRow::add_part(const Run& run, PixelSpan part, LabelSums& sums) const {
  Sides sides = sides_before(part.end, run);
  if (part.first > run.first) {
    const Sides before = sides_before(part.first, run);
    sides = {sides.differ - before.differ, sides.open - before.open};
  }
  const int px = part.end - part.first;
  const bool is_whole = part.first == run.first && part.end == run.end;
  const double area = is_whole ? run.area : area_before(part.end) - area_before(part.first);
  const double squared = area / px * (area / px);
  sums.px[run.residue] += px;
  sums.area[run.residue] += area;
  sums.border[run.residue] += sides.differ * squared;
  sums.affected_border += sides.open * squared;
  if (run.finding != 0 && (sums.findings.empty() || sums.findings.back() != run.finding))
    sums.findings.push_back(run.finding);
}

}  // namespace verdigrid
