#include "report/actuals_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "plan/plan_words.h"
#include "report/canvas.h"

namespace verdigrid {

namespace {

constexpr double k_least = 0.25, k_most = 4;  // of the axis: actual / likely
constexpr size_t k_rows_at_most = 24;
constexpr double k_ticks[] = {0.25, 0.5, 1, 2, 4};

struct Inks {
  Ink paper, text, quiet, line, dot, mean;
};

Inks inks_for(bool is_dark) {
  if (is_dark)
    return {{0.10, 0.11, 0.12, 1}, {0.92, 0.93, 0.94, 1},    {0.62, 0.65, 0.68, 1},
            {0.30, 0.32, 0.34, 1}, {0.35, 0.75, 0.72, 0.75}, {0.98, 0.72, 0.30, 1}};
  return {{1, 1, 1, 1},          {0.10, 0.10, 0.10, 1},    {0.36, 0.36, 0.36, 1},
          {0.80, 0.80, 0.80, 1}, {0.05, 0.45, 0.43, 0.65}, {0.75, 0.38, 0.02, 1}};
}

// Everything in shares of the width, so that every size looks alike.
struct Frame {
  double unit, left, right, top, row;
  double x_of(double ratio) const {
    const double share =
        std::log(std::clamp(ratio, k_least, k_most) / k_least) / std::log(k_most / k_least);
    return left + share * (right - left);
  }
};

void draw_axis(Canvas& canvas, const Frame& f, const Inks& inks, double bottom) {
  for (const double tick : k_ticks) {
    const double x = f.x_of(tick);
    canvas.line({{x, f.top}, {x, bottom}}, tick == 1 ? inks.quiet : inks.line,
                tick == 1 ? 2.5 * f.unit : f.unit);
    canvas.text(tick == 1 ? "likely" : fmt::format("x {:g}", tick), {x, f.top - 26 * f.unit},
                {17 * f.unit, Weight::regular, inks.quiet}, Anchor::centre);
  }
}

void draw_row(Canvas& canvas, const Frame& f, const Inks& inks, const ActualsRow& row, double y) {
  canvas.text(row.name, {f.left - 16 * f.unit - f.left * 0.9, y - 13 * f.unit},
              {18 * f.unit, Weight::regular, inks.text, f.left * 0.9 - 8 * f.unit, 1});
  canvas.text(fmt::format("{} job{}", row.jobs, row.jobs == 1 ? "" : "s"),
              {f.right + 16 * f.unit, y - 12 * f.unit}, {16 * f.unit, Weight::regular, inks.quiet});
  for (const double ratio : row.ratios) canvas.disc({f.x_of(ratio), y}, 6 * f.unit, inks.dot);
  const double x = f.x_of(row.ratio);
  canvas.line({{x, y - 13 * f.unit}, {x, y + 13 * f.unit}}, inks.mean, 4 * f.unit);
}

Table rows_table(const std::vector<ActualsRow>& rows, ActualsBy by) {
  Table t{"",
          {words(by), "jobs", "took", "likely", "took / likely", "within allow up to"},
          {},
          {false, true, true, true, true, true}};
  for (const ActualsRow& r : rows)
    t.rows.push_back({r.name, fmt::format("{}", r.jobs), minutes_words(r.actual_min),
                      minutes_words(r.likely_min), fmt::format("{:.2f}", r.ratio),
                      fmt::format("{} of {}", r.within_allow, r.jobs)});
  return t;
}

}  // namespace

cv::Mat actuals_plot(const std::vector<ActualsRow>& rows, const ActualsPlotOptions& options) {
  const size_t count = std::min(rows.size(), k_rows_at_most);
  const double unit = options.width_px / 1400.0;
  const Frame f{unit, 360 * unit, 1280 * unit, 56 * unit, 40 * unit};
  const double bottom = f.top + f.row * static_cast<double>(std::max<size_t>(count, 1));
  const Inks inks = inks_for(options.is_dark);
  Canvas canvas({options.width_px, static_cast<int>(std::lround(bottom + 24 * unit))}, inks.paper);
  draw_axis(canvas, f, inks, bottom);
  for (size_t i = 0; i < count; ++i)
    draw_row(canvas, f, inks, rows[i], f.top + f.row * (static_cast<double>(i) + 0.5));
  return canvas.bgr();
}

ReportDocument actuals_report(const std::vector<JobAgainst>& jobs) {
  if (jobs.empty())
    throw Error(ErrorKind::no_result,
                "No minutes are logged there yet: tick work items off with 'verdigrid plan tick "
                "... --minutes'.");
  ReportDocument d;
  d.title = "Minutes logged against the estimate";
  d.subtitle = fmt::format("{} jobs", jobs.size());
  for (const ActualsBy by : k_actuals_by) {
    const std::vector<ActualsRow> rows = actuals_rows(jobs, by);
    Section s{by == ActualsBy::operation ? "operations"
              : by == ActualsBy::person  ? "people"
                                         : "board-types",
              fmt::format("By {}", words(by)),
              {}};
    const cv::Mat plot = actuals_plot(rows);
    s.blocks.emplace_back(picture_of(
        plot, plot.cols, fmt::format("Jobs by {}, actual over likely minutes", words(by)),
        "A dot is a job, the bar the geometric mean of a row. Right of \"likely\": it "
        "took longer than the rates of its plan said."));
    s.blocks.emplace_back(rows_table(rows, by));
    d.sections.push_back(std::move(s));
  }
  d.sections.back().blocks.emplace_back(Paragraph{
      "Of many jobs nine in ten should lie within allow up to. A few jobs say little: 'verdigrid "
      "rates learn' moves a rate as far as its jobs allow.",
      Emphasis::quiet});
  return d;
}

}  // namespace verdigrid
