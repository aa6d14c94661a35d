#include "measure/label_sums.h"

#include <algorithm>
#include <opencv2/core/utility.hpp>

#include "measure/label_row.h"

namespace verdigrid {

namespace {

constexpr int k_strip_rows = 128;  // fixed, so that sums do not depend on the number of threads
constexpr int k_band_rows = LabelBlocks::k_height_px;
static_assert(k_strip_rows % k_band_rows == 0, "a band is one row of blocks");

void merge_ids(std::vector<int>& ids) {
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
}

// A few rows read together. Whole regions are then summed one after the other, and most of them
// meet no label at all here.
class Band {
 public:
  explicit Band(const SumsInput& input) : input_(input), rows_(k_band_rows, LabelRow(input)) {}

  void read(int first_row, int end_row);
  void add_squares(std::vector<LabelSums>& squares) const;
  void add(const PolygonRows& region, LabelSums& sums) const;

 private:
  const LabelRow& row(int y) const { return rows_[static_cast<size_t>(y - first_)]; }

  const SumsInput& input_;
  int first_ = 0, end_ = 0;
  std::vector<LabelRow> rows_;
};

void Band::read(int first_row, int end_row) {
  first_ = first_row;
  end_ = end_row;
  for (int y = first_; y < end_; ++y) rows_[static_cast<size_t>(y - first_)].read(y);
}

void Band::add_squares(std::vector<LabelSums>& squares) const {
  for (int y = first_; y < end_; ++y)
    if (!row(y).is_empty())
      for (const PixelSpan span : input_.outline.row(y)) row(y).add_squares(span, squares);
}

void Band::add(const PolygonRows& region, LabelSums& sums) const {
  const PixelSpan columns = region.columns();
  if (!input_.blocks.any(columns.first, columns.end, first_)) return;
  const int end = std::min(end_, region.end_row());
  for (int y = std::max(first_, region.first_row()); y < end; ++y)
    if (!row(y).is_empty())
      for (const PixelSpan span : region.row(y)) row(y).add(span, sums);
}

struct StripSums {
  std::vector<LabelSums> squares;
  std::vector<size_t> near;        // regions that reach into this strip
  std::vector<LabelSums> regions;  // theirs
};

// Regions that no label can lie in need no look at all.
std::vector<size_t> labelled_regions(const SumsInput& input) {
  std::vector<size_t> found;
  for (size_t i = 0; i < input.regions.size(); ++i) {
    const PolygonRows& region = *input.regions[i];
    const PixelSpan columns = region.columns();
    if (!region.empty() &&
        input.blocks.any(cv::Rect2d(columns.first, region.first_row(), columns.end - columns.first,
                                    region.end_row() - region.first_row())))
      found.push_back(i);
  }
  return found;
}

StripSums strip_sums(const SumsInput& input, const std::vector<size_t>& labelled, int first_row,
                     int end_row) {
  StripSums strip;
  strip.squares.resize(static_cast<size_t>(input.grid.rows * input.grid.columns));
  for (const size_t i : labelled)
    if (input.regions[i]->first_row() < end_row && input.regions[i]->end_row() > first_row)
      strip.near.push_back(i);
  strip.regions.resize(strip.near.size());
  Band band(input);
  for (int y = first_row; y < end_row; y += k_band_rows) {
    if (!input.blocks.any(0, input.labels.cols, y)) continue;
    band.read(y, std::min(y + k_band_rows, end_row));
    band.add_squares(strip.squares);
    for (size_t i = 0; i < strip.near.size(); ++i)
      band.add(*input.regions[strip.near[i]], strip.regions[i]);
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
  const std::vector<size_t> labelled = labelled_regions(input);
  cv::parallel_for_(cv::Range(0, strips), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end && !work.stop.stop_requested(); ++i)
      parts[static_cast<size_t>(i)] = strip_sums(
          input, labelled, i * k_strip_rows, std::min((i + 1) * k_strip_rows, input.labels.rows));
  });
  work.check();
  SumsResult result{
      std::vector<LabelSums>(static_cast<size_t>(input.grid.rows * input.grid.columns)),
      std::vector<LabelSums>(input.regions.size())};
  for (const StripSums& strip : parts) {
    for (size_t i = 0; i < result.squares.size(); ++i) result.squares[i].add(strip.squares[i]);
    for (size_t i = 0; i < strip.near.size(); ++i)
      result.regions[strip.near[i]].add(strip.regions[i]);
  }
  return result;
}

}  // namespace verdigrid
