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

// One photo row of labels with its neighbours and its place on the board.
class RowPass {
 public:
  RowPass(const SumsInput& input, int y)
      : input_(input),
        width_(input.labels.cols),
        labels_(input.labels.ptr<std::uint8_t>(y)),
        above_(input.labels.ptr<std::uint8_t>(std::max(y - 1, 0))),
        below_(input.labels.ptr<std::uint8_t>(std::min(y + 1, input.labels.rows - 1))),
        findings_(input.finding_of_px.empty() ? nullptr
                                              : input.finding_of_px.ptr<std::uint16_t>(y)),
        step_(input.lattice.step()) {
    mark_blocks();
    if (!is_empty_) place_ = input.lattice.row(y);
  }

  bool is_empty() const { return is_empty_; }
  bool has_bad_label() const { return has_bad_label_; }

  void add_squares(PixelSpan span, std::vector<LabelSums>& squares) const;
  void add(PixelSpan span, LabelSums& sums) const;

 private:
  void mark_blocks();
  void add_in_block(int block, int first, int end, LabelSums& sums) const;
  size_t square_of(int block, int x) const;
  double in_block(const std::vector<double>& nodes, int block, double x) const {
    const auto b = static_cast<size_t>(block);
    return nodes[b] + (nodes[b + 1] - nodes[b]) * (x - block * step_) / step_;
  }

  const SumsInput& input_;
  int width_;
  const std::uint8_t *labels_, *above_, *below_;
  const std::uint16_t* findings_;
  int step_;
  std::vector<char> has_label_;  // per block of `step_` pixels
  PixelLattice::Row place_;
  bool is_empty_ = true, has_bad_label_ = false;
};

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
  is_empty_ = all == 0;
  has_bad_label_ = (all & k_not_a_label) != 0;
}

size_t RowPass::square_of(int block, int x) const {
  const Grid& g = input_.grid;
  const double u = (in_block(place_.x, block, x) - g.frame.x) / g.frame.width * g.columns;
  const double v = (in_block(place_.y, block, x) - g.frame.y) / g.frame.height * g.rows;
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
    const size_t last_square = square_of(block, end - 1);
    while (first < end) {
      const size_t square = square_of(block, first);
      int stop = end;
      if (square != last_square)
        for (stop = first + 1; stop < end && square_of(block, stop) == square;) ++stop;
      add_in_block(block, first, stop, squares[square]);
      first = stop;
    }
  }
}

void RowPass::add(PixelSpan span, LabelSums& sums) const {
  for (int block = span.first / step_; block * step_ < span.end; ++block)
    if (has_label_[static_cast<size_t>(block)])
      add_in_block(block, std::max(span.first, block * step_),
                   std::min(span.end, (block + 1) * step_), sums);
}

void RowPass::add_in_block(int block, int first, int end, LabelSums& sums) const {
  std::array<int, k_residue_count> count{}, offset{}, border{};
  int affected_border = 0;
  for (int x = first; x < end; ++x) {
    const std::uint8_t c = labels_[x];
    if (c == 0) continue;
    const std::uint8_t sides[4] = {labels_[std::max(x - 1, 0)],
                                   labels_[std::min(x + 1, width_ - 1)], above_[x], below_[x]};
    count[c] += 1;
    offset[c] += x - first;
    for (const std::uint8_t s : sides) {
      border[c] += s != c;
      affected_border += s == 0;
    }
    if (findings_ && findings_[x] != 0 &&
        (sums.findings.empty() || sums.findings.back() != findings_[x]))
      sums.findings.push_back(findings_[x]);
  }
  const double area = in_block(place_.area, block, first);
  const double slope = in_block(place_.area, block, first + 1) - area;
  for (size_t c = 1; c < count.size(); ++c) {
    if (count[c] == 0) continue;
    sums.px[c] += count[c];
    sums.area[c] += count[c] * area + offset[c] * slope;
    sums.border[c] += border[c] * area * area;
  }
  sums.affected_border += affected_border * area * area;
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
    if (input.regions[i].first_row() < end_row && input.regions[i].end_row() > first_row)
      strip.near.push_back(i);
  strip.regions.resize(strip.near.size());
  for (int y = first_row; y < end_row; ++y) {
    const RowPass pass(input, y);
    if (pass.has_bad_label()) {
      strip.has_bad_label = true;
      return strip;
    }
    if (pass.is_empty()) continue;
    for (const PixelSpan span : input.outline.row(y)) pass.add_squares(span, strip.squares);
    for (size_t i = 0; i < strip.near.size(); ++i)
      for (const PixelSpan span : input.regions[strip.near[i]].row(y))
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
