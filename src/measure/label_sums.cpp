#include "measure/label_sums.h"

#include <algorithm>
#include <cstring>
#include <opencv2/core/utility.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_strip_rows = 128;  // fixed, so that sums do not depend on the number of threads
constexpr std::uint64_t k_not_a_label = 0xf8f8f8f8f8f8f8f8;

void merge_ids(std::vector<int>& ids) {
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
}

// Labelled pixels side by side, of one class and one finding.
struct Run {
  int first = 0, end = 0;  // columns first .. end - 1
  std::uint8_t residue = 0;
  int finding = 0;
};

// How many of four sides face another class, and none at all.
struct Sides {
  int differ = 0, open = 0;
};

// One photo row of labels with its neighbours and its place on the board: read once, then summed
// over any span without going through its pixels again. Used row after row for its memory.
class RowPass {
 public:
  explicit RowPass(const SumsInput& input)
      : input_(input),
        width_(input.labels.cols),
        step_(input.lattice.step()),
        sides_(static_cast<size_t>(width_)) {}

  void read(int y);
  bool is_empty() const { return runs_.empty(); }
  bool has_bad_label() const { return has_bad_label_; }

  void add_squares(PixelSpan span, std::vector<LabelSums>& squares) const;
  void add(PixelSpan span, LabelSums& sums) const;

 private:
  void mark_blocks();
  void read_block(int first, int end, Run& run);
  int inner_px(int x, int end, const Run& run) const;
  Sides sides_of(int x) const;
  void keep(const Run& run) {
    if (run.end > run.first) runs_.push_back(run);
  }
  void sum_blocks();
  void add_part(const Run& run, PixelSpan part, LabelSums& sums) const;
  size_t square_of(int x) const;
  double area_before(int x) const;  // of the pixels left of column x
  double at_column(const std::vector<double>& nodes, int x) const {
    const auto b = static_cast<size_t>(x / step_);
    return nodes[b] + (nodes[b + 1] - nodes[b]) * (x - x / step_ * step_) / step_;
  }

  const SumsInput& input_;
  int width_, step_;
  const std::uint8_t *labels_ = nullptr, *above_ = nullptr, *below_ = nullptr;
  const std::uint16_t* findings_ = nullptr;
  std::vector<char> has_label_;     // per block of `step_` pixels
  std::vector<Run> runs_;           // left to right
  std::vector<Sides> sides_;        // sums over a run's pixels up to this one
  std::vector<double> block_area_;  // of the pixels left of each block
  PixelLattice::Row place_;
  bool has_bad_label_ = false;
};

void RowPass::read(int y) {
  labels_ = input_.labels.ptr<std::uint8_t>(y);
  above_ = input_.labels.ptr<std::uint8_t>(std::max(y - 1, 0));
  below_ = input_.labels.ptr<std::uint8_t>(std::min(y + 1, input_.labels.rows - 1));
  findings_ = input_.finding_of_px.empty() ? nullptr : input_.finding_of_px.ptr<std::uint16_t>(y);
  runs_.clear();
  mark_blocks();
  if (has_bad_label_) return;
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
}

void RowPass::mark_blocks() {
  const int blocks = (width_ + step_ - 1) / step_;
  has_label_.assign(static_cast<size_t>(blocks), 0);
  std::uint64_t all = 0;
  for (int b = 0; b < blocks; ++b) {
    const int first = b * step_, end = std::min(first + step_, width_);
    std::uint64_t any = 0, word = 0;
    int x = first;
    for (; x + 8 <= end; x += 8) {
      std::memcpy(&word, labels_ + x, 8);
      any |= word;
    }
    for (; x < end; ++x) any |= labels_[x];
    has_label_[static_cast<size_t>(b)] = any != 0;
    all |= any;
  }
  has_bad_label_ = (all & k_not_a_label) != 0;
}

// How many pixels from x on, eight or none, go on with the run and have nothing else round them.
int RowPass::inner_px(int x, int end, const Run& run) const {
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
void RowPass::read_block(int first, int end, Run& run) {
  for (int x = first; x < end; ++x) {
    if (const int inner = inner_px(x, end, run); inner > 0) {
      std::fill_n(sides_.begin() + x, inner, sides_[static_cast<size_t>(x) - 1]);
      run.end += inner;
      x += inner - 1;
      continue;
    }
    const std::uint8_t c = labels_[x];
    if (c == 0) continue;
    const int finding = findings_ ? findings_[x] : 0;
    Sides sides = sides_of(x);
    if (x == run.end && c == run.residue && finding == run.finding && run.end > run.first) {
      const Sides& before = sides_[static_cast<size_t>(x) - 1];
      sides = {before.differ + sides.differ, before.open + sides.open};
    } else {
      keep(run);
      run = {x, x, c, finding};
    }
    sides_[static_cast<size_t>(x)] = sides;
    run.end = x + 1;
  }
}

Sides RowPass::sides_of(int x) const {
  Sides sides;
  for (const std::uint8_t side :
       {labels_[std::max(x - 1, 0)], labels_[std::min(x + 1, width_ - 1)], above_[x], below_[x]}) {
    sides.differ += side != labels_[x];
    sides.open += side == 0;
  }
  return sides;
}

void RowPass::sum_blocks() {
  block_area_.assign(place_.area.size(), 0);
  for (size_t b = 0; b + 1 < place_.area.size(); ++b) {
    const double slope = (place_.area[b + 1] - place_.area[b]) / step_;
    block_area_[b + 1] = block_area_[b] + step_ * place_.area[b] + slope * step_ * (step_ - 1) / 2;
  }
}

double RowPass::area_before(int x) const {
  const size_t b = std::min(static_cast<size_t>(x / step_), place_.area.size() - 2);
  const double n = x - static_cast<double>(b) * step_;
  const double slope = (place_.area[b + 1] - place_.area[b]) / step_;
  return block_area_[b] + n * place_.area[b] + slope * n * (n - 1) / 2;
}

size_t RowPass::square_of(int x) const {
  const Grid& g = input_.grid;
  const double u = (at_column(place_.x, x) - g.frame.x) / g.frame.width * g.columns;
  const double v = (at_column(place_.y, x) - g.frame.y) / g.frame.height * g.rows;
  const int column = std::clamp(static_cast<int>(u), 0, g.columns - 1);
  const int row = std::clamp(static_cast<int>(v), 0, g.rows - 1);
  return static_cast<size_t>(row * g.columns + column);
}

void RowPass::add_squares(PixelSpan span, std::vector<LabelSums>& squares) const {
  for (int block = span.first / step_; block * step_ < span.end; ++block) {
    if (!has_label_[static_cast<size_t>(block)]) continue;
    int first = std::max(span.first, block * step_);
    const int end = std::min(span.end, (block + 1) * step_);
    // Positions are linear inside a block and squares are convex: equal ends, one square.
    const size_t last_square = square_of(end - 1);
    while (first < end) {
      const size_t square = square_of(first);
      int stop = end;
      if (square != last_square)
        for (stop = first + 1; stop < end && square_of(stop) == square;) ++stop;
      add({first, stop}, squares[square]);
      first = stop;
    }
  }
}

void RowPass::add(PixelSpan span, LabelSums& sums) const {
  auto run = std::upper_bound(runs_.begin(), runs_.end(), span.first,
                              [](int x, const Run& r) { return x < r.end; });
  for (; run != runs_.end() && run->first < span.end; ++run)
    add_part(*run, {std::max(span.first, run->first), std::min(span.end, run->end)}, sums);
}

void RowPass::add_part(const Run& run, PixelSpan part, LabelSums& sums) const {
  Sides sides = sides_[static_cast<size_t>(part.end) - 1];
  if (part.first > run.first) {
    const Sides& before = sides_[static_cast<size_t>(part.first) - 1];
    sides = {sides.differ - before.differ, sides.open - before.open};
  }
  const int px = part.end - part.first;
  const double area = area_before(part.end) - area_before(part.first);
  const double squared = area / px * (area / px);
  sums.px[run.residue] += px;
  sums.area[run.residue] += area;
  sums.border[run.residue] += sides.differ * squared;
  sums.affected_border += sides.open * squared;
  if (run.finding != 0 && (sums.findings.empty() || sums.findings.back() != run.finding))
    sums.findings.push_back(run.finding);
}

struct StripSums {
  std::vector<LabelSums> squares;
  std::vector<size_t> near;        // regions that reach into this strip
  std::vector<LabelSums> regions;  // theirs
  bool has_bad_label = false;
};

StripSums strip_sums(const SumsInput& input, int first_row, int end_row) {
  StripSums strip;
  strip.squares.resize(static_cast<size_t>(input.grid.rows * input.grid.columns));
  for (size_t i = 0; i < input.regions.size(); ++i)
    if (input.regions[i]->first_row() < end_row && input.regions[i]->end_row() > first_row)
      strip.near.push_back(i);
  strip.regions.resize(strip.near.size());
  RowPass pass(input);
  for (int y = first_row; y < end_row; ++y) {
    pass.read(y);
    if (pass.has_bad_label()) {
      strip.has_bad_label = true;
      return strip;
    }
    if (pass.is_empty()) continue;
    for (const PixelSpan span : input.outline.row(y)) pass.add_squares(span, strip.squares);
    for (size_t i = 0; i < strip.near.size(); ++i)
      for (const PixelSpan span : input.regions[strip.near[i]]->row(y))
        pass.add(span, strip.regions[i]);
  }
  for (LabelSums& s : strip.squares) merge_ids(s.findings);
  for (LabelSums& s : strip.regions) merge_ids(s.findings);
  return strip;
}

}  // namespace

void LabelSums::add(const LabelSums& other) {
  for (size_t c = 0; c < px.size(); ++c) {
    px[c] += other.px[c];
    area[c] += other.area[c];
    border[c] += other.border[c];
  }
  affected_border += other.affected_border;
  findings.insert(findings.end(), other.findings.begin(), other.findings.end());
  merge_ids(findings);
}

SumsResult label_sums(const SumsInput& input, const Work& work) {
  const int strips = (input.labels.rows + k_strip_rows - 1) / k_strip_rows;
  std::vector<StripSums> parts(static_cast<size_t>(strips));
  cv::parallel_for_(cv::Range(0, strips), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end && !work.stop.stop_requested(); ++i)
      parts[static_cast<size_t>(i)] =
          strip_sums(input, i * k_strip_rows, std::min((i + 1) * k_strip_rows, input.labels.rows));
  });
  work.check();
  SumsResult result{
      std::vector<LabelSums>(static_cast<size_t>(input.grid.rows * input.grid.columns)),
      std::vector<LabelSums>(input.regions.size())};
  for (const StripSums& strip : parts) {
    if (strip.has_bad_label)
      throw Error(ErrorKind::bad_input,
                  "The labels hold a value above 7, which is no residue class. Use a labels "
                  "picture that this program wrote.");
    for (size_t i = 0; i < result.squares.size(); ++i) result.squares[i].add(strip.squares[i]);
    for (size_t i = 0; i < strip.near.size(); ++i)
      result.regions[strip.near[i]].add(strip.regions[i]);
  }
  return result;
}

}  // namespace verdigrid
