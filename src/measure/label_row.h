// One photo row of labels with its neighbours and its place on the board: read once, then summed
// over any span without going through its pixels again. For label_sums; used row after row for its
// memory, by one thread at a time.
#pragma once

#include <vector>

#include "measure/label_sums.h"

namespace verdigrid {

class LabelRow {
 public:
  explicit LabelRow(const SumsInput& input)
      : input_(input), width_(input.labels.cols), step_(input.lattice.step()) {}

  void read(int y);
  bool is_empty() const { return runs_.empty(); }

  void add_squares(PixelSpan span, std::vector<LabelSums>& squares) const;
  void add(PixelSpan span, LabelSums& sums) const;

 private:
  // Labelled pixels side by side, of one class and one finding.
  struct Run {
    int first = 0, end = 0;  // columns first .. end - 1
    std::uint8_t residue = 0;
    int finding = 0;
    size_t first_border = 0, end_border = 0;
    double area = 0;
  };

  // How many of four sides face another class, and none at all.
  struct Sides {
    int differ = 0, open = 0;
  };

  // A pixel with such sides, and the sums over its run up to and with it.
  struct Border {
    int x = 0;
    Sides sides;
  };

  void mark_blocks(int y);
  void read_block(int first, int end, Run& run);
  int inner_px(int x, int end, const Run& run) const;
  Sides sides_of(int x) const;
  Sides sides_before(int x, const Run& run) const;  // of the run's pixels left of column x
  void keep(Run run) {
    run.end_border = borders_.size();
    if (run.end > run.first) runs_.push_back(run);
  }
  void sum_blocks();
  void index_runs();
  void add_part(const Run& run, PixelSpan part, LabelSums& sums) const;
  size_t square_of(int x, int block) const;
  double area_before(int x) const;  // of the pixels left of column x

  const SumsInput& input_;
  int width_, step_;
  const std::uint8_t *labels_ = nullptr, *above_ = nullptr, *below_ = nullptr;
  const std::uint16_t* findings_ = nullptr;
  std::vector<char> has_label_;     // per block of `step_` pixels
  std::vector<Run> runs_;           // left to right
  std::vector<size_t> first_run_;   // per block, the first that ends behind its left edge
  std::vector<Border> borders_;     // of all runs
  std::vector<double> block_area_;  // of the pixels left of each block
  PixelLattice::Row place_;
};

}  // namespace verdigrid
