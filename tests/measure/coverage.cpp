#include "tests/measure/coverage.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/core/utility.hpp>
#include <random>

#include "measure/label_error.h"
#include "rectify/rectify.h"
#include "synthetic/shot.h"

namespace verdigrid {

namespace {

constexpr double k_tilt_at_most_deg = 15, k_k1_at_most = 0.12;

synthetic::Shot shot_of(std::uint64_t seed, cv::Size photo_px) {
  synthetic::BoardOptions board;
  board.mask = static_cast<synthetic::MaskColour>(seed % synthetic::k_mask_colour_count);
  board.side = seed % 5 == 0 ? Side::back : Side::front;
  synthetic::CameraOptions camera;
  camera.tilt_at_most_deg = k_tilt_at_most_deg;
  camera.k1_at_most = k_k1_at_most;
  return synthetic::shot(synthetic::random_board(seed, board),
                         synthetic::random_camera(seed, photo_px, camera));
}

// Corners and size with the errors of a hand and a ruler.
Rectification by_hand(const synthetic::Truth& truth, std::uint64_t seed) {
  RectifyOptions options;
  options.side = truth.side;
  options.lens = truth.view.lens;
  std::mt19937_64 random(seed * 7919 + 13);
  std::normal_distribution<double> normal;
  const cv::Rect2d box = bounding_box(truth.outline_mm.outer);
  options.board_mm = cv::Size2d(box.width + options.board_mm_sd * normal(random),
                                box.height + options.board_mm_sd * normal(random));
  // Clockwise from the corner seen top left: the back is seen mirrored.
  const double left = truth.side == Side::back ? box.width : 0, right = box.width - left;
  for (const cv::Point2d corner : {cv::Point2d(left, 0), cv::Point2d(right, 0),
                                   cv::Point2d(right, box.height), cv::Point2d(left, box.height)}) {
    const cv::Point2d slip(normal(random), normal(random));
    options.corners_px.push_back(photo_px_of(truth.view, corner) + slip * options.corner_sd_px);
  }
  return rectified_by_corners(truth.photo_size_px, options);
}

void add_own(const synthetic::Shot& shot, const Rectification& r, const Detector& detector,
             CoverageCase& c) {
  const ResidueMap map = detector.residue_map(photo_of(shot), r, {}, {});
  MeasureOptions options;
  options.label_error = label_error_of(detector.id());
  const ZoneTable table = zone_table({map.labels, {}, {}, 1}, r, options);
  c.own_labels = {shot.truth.residue_area_mm2(), table.total.affected.area};
  for (size_t i = 1; i < c.own_by_class.size(); ++i)
    c.own_by_class[i] = {shot.truth.area_mm2[i], table.total.by_class[i].area};
  std::map<std::string, double> truth;
  for (const synthetic::SquareArea& square : shot.truth.squares)
    for (const double mm2 : square.by_class) truth[square.name] += mm2;
  for (const ZoneRow& row : table.squares)
    if (truth[row.name] > 0 || row.affected.px > 0)
      c.own_squares.push_back({truth[row.name], row.affected.area});
}

CoverageCase case_of(std::uint64_t seed, const CoverageOptions& options) {
  const synthetic::Shot shot = shot_of(seed, options.photo_px);
  const synthetic::Truth& truth = shot.truth;
  const Rectification r = by_hand(truth, seed);
  CoverageCase c;
  c.seed = seed;
  c.mask =
      synthetic::name(static_cast<synthetic::MaskColour>(seed % synthetic::k_mask_colour_count));
  c.tilt_deg = truth.view.tilt_deg;
  c.k1 = truth.view.lens.distortion[0];
  c.px_per_mm = truth.px_per_mm;
  c.board_mm2 = area(truth.outline_mm);
  const MeasureInput labels{truth.labels, {}, {}, 1};
  c.exact =
      zone_table(labels, rectification_from(truth, 0, 0), true_label_options()).total.affected.area;
  c.true_labels = {truth.residue_area_mm2(),
                   zone_table(labels, r, true_label_options()).total.affected.area};
  if (options.detector) add_own(shot, r, *options.detector, c);
  return c;
}

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  return (values[(values.size() - 1) / 2] + values[values.size() / 2]) / 2;
}

}  // namespace

MeasureOptions true_label_options() {
  MeasureOptions options;
  options.label_edge_sd_px = 1 / std::sqrt(12.0);
  options.label_edge_correlation_px = 3;
  return options;
}

std::vector<CoverageCase> coverage_cases(const CoverageOptions& options) {
  std::vector<CoverageCase> cases(static_cast<size_t>(options.boards));
  cv::parallel_for_(cv::Range(0, options.boards), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i)
      cases[static_cast<size_t>(i)] =
          case_of(options.first_seed + static_cast<std::uint64_t>(i), options);
  });
  return cases;
}

CoverageFigures figures_of(const std::vector<CoverageAmount>& amounts) {
  CoverageFigures figures;
  std::vector<double> widths, errors;
  for (const CoverageAmount& a : amounts) {
    ++figures.boards;
    figures.covered_share += a.measured.contains(a.truth);
    if (a.truth <= 0) continue;
    widths.push_back(a.measured.width() / a.truth);
    errors.push_back(std::abs(a.measured.value / a.truth - 1));
  }
  figures.covered_share /= std::max(1, figures.boards);
  figures.median_rel_width = median(widths);
  figures.median_rel_error = median(errors);
  if (!errors.empty()) figures.worst_rel_error = *std::max_element(errors.begin(), errors.end());
  return figures;
}

}  // namespace verdigrid
