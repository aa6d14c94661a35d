#include "tests/measure/coverage.h"

#include <algorithm>
#include <cmath>
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

CoveragePlace place(double area_mm2, const synthetic::AreaByClass& truth, const ZoneRow& row) {
  CoveragePlace p{area_mm2, {}};
  p.amounts[0].measured = row.affected.area;
  for (size_t i = 1; i < truth.size(); ++i) {
    p.amounts[0].truth += truth[i];
    p.amounts[i] = {truth[i], row.by_class[i].area};
  }
  return p;
}

void add_own(const synthetic::Shot& shot, const Rectification& r, const Detector& detector,
             CoverageCase& c) {
  const ResidueMap map = detector.residue_map(photo_of(shot), r, {}, {});
  MeasureOptions options;
  options.label_error = detector_error_of(detector.id());
  const ZoneTable table = zone_table({map.labels, {}, {}, 1}, r, options);
  c.own_board = place(area(shot.truth.outline_mm), shot.truth.area_mm2, table.total);
  for (const synthetic::SquareArea& square : shot.truth.squares)
    for (const ZoneRow& row : table.squares)
      if (row.name == square.name)
        c.own_squares.push_back(place(square.area_mm2, square.by_class, row));
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
  const MeasureInput labels{truth.labels, {}, {}, 1};
  const ZoneTable exact = zone_table(labels, rectification_from(truth, 0, 0), true_label_options());
  c.is_whole_in_photo = exact.total.unseen.outside_photo_percent == 0;
  c.exact = exact.total.affected.area;
  c.true_labels = {truth.residue_area_mm2(),
                   zone_table(labels, r, true_label_options()).total.affected.area};
  if (options.detector) add_own(shot, r, *options.detector, c);
  return c;
}

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  return values[static_cast<size_t>(std::lround(share * static_cast<double>(values.size() - 1)))];
}

double median(const std::vector<double>& values) { return quantile(values, 0.5); }

constexpr size_t k_enough_ratios = 8;
constexpr double k_most_log_bias = 0.69, k_most_log_sd = 0.56, k_least_log_sd = 0.1;
constexpr double k_sd_of_quartiles = 1.349;  // of a normal law
constexpr double k_two_sided_95 = 1.96, k_tail = 0.025;

LabelError calibrated_row(const std::vector<CoveragePlace>& places, size_t residue) {
  LabelError e{.log_sd = k_most_log_sd};
  std::vector<double> ratios, missed, wrong;
  for (const CoveragePlace& p : places)
    if (const CoverageAmount& a = p.amounts[residue]; a.truth > 0 && a.measured.value > 0)
      ratios.push_back(std::log(a.measured.value / a.truth));
  if (ratios.size() >= k_enough_ratios) {
    e.log_bias = std::clamp(median(ratios), -k_most_log_bias, k_most_log_bias);
    e.log_sd = std::clamp((quantile(ratios, 0.75) - quantile(ratios, 0.25)) / k_sd_of_quartiles,
                          k_least_log_sd, k_most_log_sd);
  }
  for (const CoveragePlace& p : places) {
    const CoverageAmount& a = p.amounts[residue];
    const double centre = a.measured.value * std::exp(-e.log_bias);
    const double reach = std::exp(k_two_sided_95 * e.log_sd);
    missed.push_back(std::max(0.0, a.truth - centre * reach) / p.area_mm2);
    wrong.push_back(std::max(0.0, centre / reach - a.truth) / p.area_mm2);
  }
  e.false_share = quantile(wrong, 1 - k_tail);
  // Where hardly any place lies below its interval, more may lie above: 5 % together.
  const auto below = std::count_if(wrong.begin(), wrong.end(),
                                   [&](double share) { return share > e.false_share; });
  const double below_share = static_cast<double>(below) / static_cast<double>(wrong.size());
  e.missed_share = quantile(missed, 1 - (2 * k_tail - below_share));
  return e;
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
  std::erase_if(cases, [](const CoverageCase& c) { return !c.is_whole_in_photo; });
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

LabelErrors calibrated(const std::vector<CoveragePlace>& places) {
  LabelErrors errors;
  for (size_t i = 0; i < errors.size(); ++i) errors[i] = calibrated_row(places, i);
  return errors;
}

}  // namespace verdigrid
