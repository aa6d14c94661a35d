// Bench of areas and their intervals on rendered boards of known truth (tests/measure/coverage.h).
//
//   coverage [--boards N] [--first SEED] [--size WxH] [--model MODEL.json] [--rows]
//
// The detector is the first method, or the trained one that --model names.
// Prints the share of boards whose 95 % interval holds the truth, with true labels and with the
// detector's own, the median width, and the rows that label_error.cpp needs for this detector.
// --rows prints one line per board first.
#include "tests/measure/coverage.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <filesystem>
#include <iostream>

#include "detect/trained_detector.h"

using namespace verdigrid;

namespace {

void print_row(const CoverageCase& c) {
  const CoverageAmount& own = c.own_board.amounts[0];
  fmt::print(
      "{} {} tilt {:.1f} k1 {:.3f} {:.1f} px/mm board {:.0f} mm2, truth {:.3f}, true labels {:.3f} "
      "({:.3f} to {:.3f}), own {:.3f} ({:.3f} to {:.3f}); by class own/true",
      c.seed, c.mask, c.tilt_deg, c.k1, c.px_per_mm, c.own_board.area_mm2, c.true_labels.truth,
      c.true_labels.measured.value, c.true_labels.measured.low, c.true_labels.measured.high,
      own.measured.value, own.measured.low, own.measured.high);
  for (size_t i = 1; i < c.own_board.amounts.size(); ++i)
    fmt::print(" {:.2f}/{:.2f}", c.own_board.amounts[i].measured.value,
               c.own_board.amounts[i].truth);
  fmt::print("\n");
}

void print_figures(const std::string& what, const std::vector<CoverageAmount>& amounts) {
  const CoverageFigures f = figures_of(amounts);
  fmt::print(
      "{}: {} cases, covered {:.1f} %, median width {:.1f} % of the truth, median error "
      "{:.2f} %, worst {:.2f} %\n",
      what, f.boards, 100 * f.covered_share, 100 * f.median_rel_width, 100 * f.median_rel_error,
      100 * f.worst_rel_error);
}

std::string class_name(size_t i) {
  return i == 0 ? "affected" : std::string(name(static_cast<Residue>(i)));
}

std::vector<CoverageAmount> of_class(const std::vector<CoveragePlace>& places, size_t i) {
  std::vector<CoverageAmount> amounts;
  for (const CoveragePlace& p : places) amounts.push_back(p.amounts[i]);
  return amounts;
}

void print_places(const char* what, const std::vector<CoveragePlace>& places) {
  for (size_t i = 0; i < k_residue_count; ++i)
    print_figures(fmt::format("own labels, {}, {}", what, class_name(i)), of_class(places, i));
}

// As label_error.cpp wants it.
void print_calibration(const char* what, const std::vector<CoveragePlace>& places) {
  const LabelErrors errors = calibrated(places);
  fmt::print("    .{} = {{{{\n", what);
  for (size_t i = 0; i < errors.size(); ++i)
    fmt::print("        {{{:.3f}, {:.3f}, {:.6f}, {:.6f}}},  // {}\n", errors[i].log_bias,
               errors[i].log_sd, errors[i].missed_share, errors[i].false_share, class_name(i));
  fmt::print("    }}}},\n");
}

void print_all(const std::vector<CoverageCase>& cases) {
  std::vector<CoverageAmount> exact, true_labels;
  std::vector<CoveragePlace> boards, squares;
  for (const CoverageCase& c : cases) {
    exact.push_back({c.true_labels.truth, c.exact});
    true_labels.push_back(c.true_labels);
    boards.push_back(c.own_board);
    squares.insert(squares.end(), c.own_squares.begin(), c.own_squares.end());
  }
  print_figures("true labels, exact rectification, edge term", exact);
  print_figures("true labels, scale and edge terms", true_labels);
  print_places("boards", boards);
  print_places("squares", squares);
  fmt::print("calibration on these boards (log_bias, log_sd, missed_share, false_share):\n");
  print_calibration("board", boards);
  print_calibration("square", squares);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Areas and their intervals on rendered boards of known truth");
  CoverageOptions options;
  std::string size = "960x720";
  std::filesystem::path model;
  bool wants_rows = false;
  app.add_option("--boards", options.boards, "Number of boards")->check(CLI::Range(1, 100000));
  app.add_option("--first", options.first_seed, "Seed of the first board");
  app.add_option("--size", size, "Photo size in px, WxH");
  app.add_option("--model", model, "Model file of the trained detector");
  app.add_flag("--rows", wants_rows, "Print one line per board");
  CLI11_PARSE(app, argc, argv);
  if (std::sscanf(size.c_str(), "%dx%d", &options.photo_px.width, &options.photo_px.height) != 2 ||
      options.photo_px.width < 100 || options.photo_px.height < 100) {
    std::cerr << "The photo size is WxH px, at least 100x100: " << size << "\n";
    return 2;
  }
  const auto detector = model.empty() ? first_method() : trained_detector(model);
  options.detector = detector.get();
  const std::vector<CoverageCase> cases = coverage_cases(options);
  if (wants_rows)
    for (const CoverageCase& c : cases) print_row(c);
  print_all(cases);
}
