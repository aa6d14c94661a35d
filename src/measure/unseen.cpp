#include "measure/unseen.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

// Where the photo check left no picture: large enough for a part of a few millimetres.
constexpr int k_long_side_px = 1500;
constexpr int k_strip_rows = 64;  // fixed, so that sums do not depend on the number of threads

HiddenPicture blank(cv::Size photo) {
  const double scale =
      std::min(1.0, static_cast<double>(k_long_side_px) / std::max(photo.width, photo.height));
  return {cv::Mat::zeros(static_cast<int>(std::ceil(photo.height * scale)),
                         static_cast<int>(std::ceil(photo.width * scale)), CV_8UC1),
          scale};
}

// First pixel of the reduced picture whose centre lies at or behind this photo column's left edge.
int reduced(int photo_column, double scale) {
  const double at = photo_column * scale - 0.5;
  const int whole = static_cast<int>(at);
  return whole + (at > whole);
}

void mark(HiddenPicture& hidden, const PolygonRows& body) {
  const int end = std::min(hidden.bits.rows, reduced(body.end_row(), hidden.scale));
  for (int y = reduced(body.first_row(), hidden.scale); y < end; ++y) {
    const double photo_y = (y + 0.5) / hidden.scale - 0.5;
    auto* line = hidden.bits.ptr<std::uint8_t>(y);
    for (const PixelSpan& s : body.row(static_cast<int>(std::lround(photo_y)))) {
      const int stop = std::min(hidden.bits.cols, reduced(s.end, hidden.scale));
      for (int x = reduced(s.first, hidden.scale); x < stop; ++x) line[x] |= k_under_part_bit;
    }
  }
}

size_t square_of(const Grid& grid, cv::Point2d p) {
  const int column =
      std::clamp(static_cast<int>((p.x - grid.frame.x) / grid.square_width()), 0, grid.columns - 1);
  const int row =
      std::clamp(static_cast<int>((p.y - grid.frame.y) / grid.square_height()), 0, grid.rows - 1);
  return static_cast<size_t>(row * grid.columns + column);
}

}  // namespace

void HiddenArea::add(const HiddenArea& other) {
  glare += other.glare;
  blur += other.blur;
  under_parts += other.under_parts;
  any += other.any;
}

HiddenPicture hidden_with_parts(const cv::Mat& bits, double scale, cv::Size photo_size_px,
                                const std::vector<const PolygonRows*>& bodies) {
  require(bits.empty() || (bits.type() == CV_8UC1 && scale > 0),
          "hidden is an 8-bit picture with a scale");
  if (bodies.empty()) return {bits, scale};
  HiddenPicture hidden = bits.empty() ? blank(photo_size_px) : HiddenPicture{bits.clone(), scale};
  for (const PolygonRows* body : bodies) mark(hidden, *body);
  return hidden;
}

HiddenSums::HiddenSums(const HiddenPicture& hidden, const PixelLattice& lattice)
    : lattice_(lattice), scale_(hidden.scale), rows_(static_cast<size_t>(hidden.bits.rows)) {
  cv::parallel_for_(cv::Range(0, hidden.bits.rows), [&](const cv::Range& range) {
    for (int y = range.start; y < range.end; ++y)
      rows_[static_cast<size_t>(y)] = read(hidden.bits, y);
  });
}

cv::Point2d HiddenSums::photo_px(int x, int y) const {
  return {(x + 0.5) / scale_ - 0.5, (y + 0.5) / scale_ - 0.5};
}

HiddenSums::Row HiddenSums::read(const cv::Mat& bits, int y) const {
  Row row;
  row.photo_y = static_cast<int>(std::lround(photo_px(0, y).y));
  const auto* line = bits.ptr<std::uint8_t>(y);
  int hidden = 0;
  for (int x = 0; x < bits.cols; ++x) {
    if (line[x] == 0) continue;
    if (!row.runs.empty() && row.runs.back().end == x && row.runs.back().bits == line[x])
      ++row.runs.back().end;
    else
      row.runs.push_back({x, x + 1, line[x], x - hidden});
    ++hidden;
  }
  if (row.runs.empty()) return row;
  const PixelLattice::Row place = lattice_.row(photo_px(0, y).y);
  row.area.reserve(static_cast<size_t>(hidden) + 1);
  double area = 0;
  for (const Run& run : row.runs)
    for (int x = run.first; x < run.end; ++x) {
      row.area.push_back(area);
      const double u = photo_px(x, y).x / lattice_.step();
      const auto i = std::min(static_cast<size_t>(std::max(u, 0.0)), place.area.size() - 2);
      const double t = u - static_cast<double>(i);
      const double px = place.area[i] + (place.area[i + 1] - place.area[i]) * t;
      area += px / (scale_ * scale_);
    }
  row.area.push_back(area);
  return row;
}

template <class Visit>
void HiddenSums::visit_runs(const PolygonRows& region, int first, int end, Visit visit) const {
  for (int y = std::max(first, reduced(region.first_row(), scale_));
       y < std::min(end, reduced(region.end_row(), scale_)); ++y) {
    const std::vector<Run>& runs = rows_[static_cast<size_t>(y)].runs;
    if (runs.empty()) continue;
    for (const PixelSpan& s : region.row(rows_[static_cast<size_t>(y)].photo_y)) {
      const int from = reduced(s.first, scale_), to = reduced(s.end, scale_);
      auto run = std::upper_bound(runs.begin(), runs.end(), from,
                                  [](int x, const Run& r) { return x < r.end; });
      for (; run != runs.end() && run->first < to; ++run)
        visit(y, Run{std::max(from, run->first), std::min(to, run->end), run->bits, run->skipped});
    }
  }
}

void HiddenSums::count(HiddenArea& to, int y, const Run& run) const {
  const std::vector<double>& before = rows_[static_cast<size_t>(y)].area;
  const double area = before[static_cast<size_t>(run.end - run.skipped)] -
                      before[static_cast<size_t>(run.first - run.skipped)];
  to.any += area;
  if (run.bits & k_glare_bit) to.glare += area;
  if (run.bits & k_blur_bit) to.blur += area;
  if (run.bits & k_under_part_bit) to.under_parts += area;
}

// Squares are convex and a row is nearly straight on the board: pieces whose ends lie in one square
// lie in it.
void HiddenSums::count_squares(std::vector<HiddenArea>& to, int y, const Run& run,
                               const Grid& grid) const {
  constexpr int k_piece = 16;
  const auto square = [&](int x) { return square_of(grid, lattice_.at(photo_px(x, y)).p_board); };
  for (int first = run.first; first < run.end; first += k_piece) {
    const int end = std::min(first + k_piece, run.end);
    const size_t at = square(first);
    if (at == square(end - 1)) {
      count(to[at], y, {first, end, run.bits, run.skipped});
      continue;
    }
    for (int x = first; x < end; ++x) count(to[square(x)], y, {x, x + 1, run.bits, run.skipped});
  }
}

HiddenArea HiddenSums::in(const PolygonRows& region) const {
  HiddenArea sum;
  visit_runs(region, 0, static_cast<int>(rows_.size()),
             [&](int y, const Run& run) { count(sum, y, run); });
  return sum;
}

std::vector<HiddenArea> HiddenSums::by_square(const PolygonRows& outline, const Grid& grid) const {
  const std::vector<HiddenArea> none(static_cast<size_t>(grid.rows * grid.columns));
  const int rows = static_cast<int>(rows_.size());
  std::vector<std::vector<HiddenArea>> strips(
      static_cast<size_t>((rows + k_strip_rows - 1) / k_strip_rows), none);
  cv::parallel_for_(cv::Range(0, static_cast<int>(strips.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i)
      visit_runs(outline, i * k_strip_rows, std::min((i + 1) * k_strip_rows, rows),
                 [&](int y, const Run& run) {
                   count_squares(strips[static_cast<size_t>(i)], y, run, grid);
                 });
  });
  std::vector<HiddenArea> squares = none;
  for (const std::vector<HiddenArea>& strip : strips)
    for (size_t i = 0; i < squares.size(); ++i) squares[i].add(strip[i]);
  return squares;
}

}  // namespace verdigrid
