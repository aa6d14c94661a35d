// Bench of areas and their intervals on rendered boards of known truth (tests/measure/coverage.h).
//
//   coverage [--boards N] [--first SEED] [--size WxH] [--rows]
//
// Prints the share of boards whose 95 % interval holds the truth, with true labels and with the
// detector's own, the median width, and what label_error.cpp needs (mean and standard deviation of
// ln(labelled / true)). --rows prints one line per board first.
#include "tests/measure/coverage.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <iostream>

using namespace verdigrid;

namespace {

void print_row(const CoverageCase& c) {
  fmt::print(
      "{} {} tilt {:.1f} k1 {:.3f} {:.1f} px/mm board {:.0f} truth {:.3f} exact {:.3f} "
      "true-labels {:.3f} [{:.3f} {:.3f}] own {:.3f} [{:.3f} {:.3f}]",
      c.seed, c.mask, c.tilt_deg, c.k1, c.px_per_mm, c.board_mm2, c.true_labels.truth, c.exact.value,
      c.true_labels.measured.value, c.true_labels.measured.low, c.true_labels.measured.high,
      c.own_labels.measured.value, c.own_labels.measured.low, c.own_labels.measured.high);
  for (size_t i = 1; i < c.own_by_class.size(); ++i)
    fmt::print(" {:.2f}/{:.2f}", c.own_by_class[i].measured.value, c.own_by_class[i].truth);
  fmt::print("\n");
}

void print_figures(const char* what, const std::vector<CoverageAmount>& amounts) {
  const CoverageFigures f = figures_of(amounts);
  fmt::print(
      "{}: {} cases, covered {:.1f} %, median width {:.1f} % of the truth, median error "
      "{:.2f} %, worst {:.2f} %\n",
      what, f.boards, 100 * f.covered_share, 100 * f.median_rel_width, 100 * f.median_rel_error,
      100 * f.worst_rel_error);
}

// Mean and spread of ln(labelled / true) where both are there.
void print_log_error(const char* what, const std::vector<CoverageAmount>& amounts) {
  double n = 0, sum = 0, squares = 0;
  for (const CoverageAmount& a : amounts) {
    if (a.truth <= 0 || a.measured.value <= 0) continue;
    const double log_ratio = std::log(a.measured.value / a.truth);
    n += 1;
    sum += log_ratio;
    squares += log_ratio * log_ratio;
  }
  if (n < 2) return;
  const double mean = sum / n;
  fmt::print("{}: ln(labelled / true) over {} cases: mean {:.3f}, sd {:.3f}\n", what, n, mean,
             std::sqrt((squares - n * mean * mean) / (n - 1)));
}

void print_all(const std::vector<CoverageCase>& cases) {
  std::vector<CoverageAmount> exact, true_labels, own, squares;
  for (const CoverageCase& c : cases) {
    exact.push_back({c.true_labels.truth, c.exact});
    true_labels.push_back(c.true_labels);
    own.push_back(c.own_labels);
    squares.insert(squares.end(), c.own_squares.begin(), c.own_squares.end());
  }
  const CoverageFigures f = figures_of(exact);
  fmt::print("true labels, exact rectification: median error {:.3f} %, worst {:.3f} %\n",
             100 * f.median_rel_error, 100 * f.worst_rel_error);
  print_figures("true labels, scale and edge terms", true_labels);
  print_figures("own labels, full interval, boards", own);
  print_figures("own labels, full interval, squares", squares);
  print_log_error("boards", own);
  print_log_error("squares", squares);
  for (const Residue r : k_residues) {
    std::vector<CoverageAmount> one;
    for (const CoverageCase& c : cases) one.push_back(c.own_by_class[static_cast<size_t>(r)]);
    print_figures(std::string(name(r)).c_str(), one);
    print_log_error(std::string(name(r)).c_str(), one);
  }
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Areas and their intervals on rendered boards of known truth");
  CoverageOptions options;
  std::string size = "960x720";
  bool wants_rows = false;
  app.add_option("--boards", options.boards, "Number of boards")->check(CLI::Range(1, 100000));
  app.add_option("--first", options.first_seed, "Seed of the first board");
  app.add_option("--size", size, "Photo size in px, WxH");
  app.add_flag("--rows", wants_rows, "Print one line per board");
  CLI11_PARSE(app, argc, argv);
  if (std::sscanf(size.c_str(), "%dx%d", &options.photo_px.width, &options.photo_px.height) != 2 ||
      options.photo_px.width < 100 || options.photo_px.height < 100) {
    std::cerr << "The photo size is WxH px, at least 100x100: " << size << "\n";
    return 2;
  }
  const auto detector = first_method();
  options.detector = detector.get();
  const std::vector<CoverageCase> cases = coverage_cases(options);
  if (wants_rows)
    for (const CoverageCase& c : cases) print_row(c);
  print_all(cases);
}
