#include "measure/zone_table.h"

#include <algorithm>
#include <numbers>

#include "base/error.h"
#include "measure/area_interval.h"
#include "measure/grades.h"
#include "measure/label_sums.h"
#include "measure/photo_outline.h"
#include "measure/scale_error.h"
#include "measure/unseen.h"

namespace verdigrid {

namespace {

void check_sizes(const MeasureInput& input, const Rectification& r) {
  require(input.labels.type() == CV_8UC1 && !input.labels.empty(), "labels are 8-bit ids");
  require(input.finding_of_px.empty() || (input.finding_of_px.type() == CV_16UC1 &&
                                          input.finding_of_px.size() == input.labels.size()),
          "the findings picture has the labels' size");
  if (input.labels.size() == r.photo_size_px) return;
  throw Error(ErrorKind::bad_input,
              "The rectification was made for a photo of " + std::to_string(r.photo_size_px.width) +
                  "x" + std::to_string(r.photo_size_px.height) + " px, these labels have " +
                  std::to_string(input.labels.cols) + "x" + std::to_string(input.labels.rows) +
                  " px. Straighten and scale this photo anew.");
}

// What every row is finished with.
struct RowTerms {
  const MeasureOptions& options;
  const LabelErrors& labels;
  bool has_mm;

  double edge_variance(double border) const {
    return options.label_edge_sd_px * options.label_edge_sd_px * options.label_edge_correlation_px *
           std::numbers::pi / 4 * border;
  }
};

// Errors by the scale of each class's area; [0]: of all classes together.
using ScaleErrors = std::array<ScaleError::Errors, k_residue_count>;

ScaleErrors scale_errors(const ScaleError& scale, const LabelSums& sums, cv::Point2d centre) {
  ScaleErrors result{};
  const ScaleError::Errors unit = scale.errors(1, centre);
  for (size_t c = 1; c < result.size(); ++c)
    for (size_t i = 0; i < unit.size(); ++i) {
      result[c][i] = unit[i] * sums.area[c];
      result[0][i] += result[c][i];
    }
  return result;
}

void add(ScaleErrors& to, const ScaleErrors& from) {
  for (size_t c = 0; c < to.size(); ++c)
    for (size_t i = 0; i < to[c].size(); ++i) to[c][i] += from[c][i];
}

Interval in_percent(Interval area, double of) {
  const auto percent = [of](double a) { return of > 0 ? std::min(100.0, 100 * a / of) : 0; };
  return {percent(area.value), percent(area.low), percent(area.high)};
}

Amount amount_of(long px, double area, double border, ScaleError::Errors scale,
                 const LabelError& label, const ZoneRow& row, const RowTerms& terms) {
  AreaErrors errors{ScaleError::variance(scale), terms.edge_variance(border), label,
                    row.area_in_photo};
  Amount amount{px, area_interval(area, errors), {}};
  scale[0] = 0;  // a share of the board does not hang on the scale, only on the perspective
  errors.scale_variance = ScaleError::variance(scale);
  amount.percent = in_percent(area_interval(area, errors), row.area_in_photo);
  return amount;
}

double percent_of(double part, double whole) {
  return whole > 0 ? std::min(100.0, 100 * part / whole) : 0;
}

Unseen unseen_of(const HiddenArea& hidden, const ZoneRow& row) {
  const double outside = std::max(0.0, row.area - row.area_in_photo);
  return {percent_of(hidden.glare, row.area), percent_of(hidden.blur, row.area),
          percent_of(outside, row.area), percent_of(outside + hidden.either, row.area)};
}

void fill_amounts(ZoneRow& row, const LabelSums& sums, const ScaleErrors& scale,
                  const RowTerms& terms) {
  long px = 0;
  double area = 0;
  for (size_t c = 1; c < row.by_class.size(); ++c) {
    row.by_class[c] =
        amount_of(sums.px[c], sums.area[c], sums.border[c], scale[c], terms.labels[c], row, terms);
    px += sums.px[c];
    area += sums.area[c];
  }
  row.affected = amount_of(px, area, sums.affected_border, scale[0], terms.labels[0], row, terms);
  row.findings = sums.findings;
}

void fill_grades(ZoneRow& row, bool has_mm) {
  const double percent = row.affected.percent.value;
  row.astm_d610 = astm_d610_grade(percent);
  row.iso10289 = iso10289_rating(percent);
  row.iso4628_3 = iso4628_3_ri(percent);
  Affected affected{.has_mm = has_mm};
  for (size_t c = 1; c < row.by_class.size(); ++c) {
    affected.area_mm2[c] = row.by_class[c].area.value;
    affected.percent[c] = row.by_class[c].percent.value;
  }
  row.severity = severity_of(affected);
}

ZoneRow finished_row(const std::string& row_name, const std::array<double, 2>& areas,
                     const LabelSums& sums, const ScaleErrors& scale, const HiddenArea& hidden,
                     const RowTerms& terms) {
  ZoneRow row;
  row.name = row_name;
  row.area = areas[0];
  row.area_in_photo = std::min(areas[0], areas[1]);
  fill_amounts(row, sums, scale, terms);
  row.unseen = unseen_of(hidden, row);
  fill_grades(row, terms.has_mm);
  return row;
}

HiddenArea sum_of(const std::vector<HiddenArea>& squares) {
  HiddenArea all;
  for (const HiddenArea& h : squares) {
    all.glare += h.glare;
    all.blur += h.blur;
    all.either += h.either;
  }
  return all;
}

long pixels(const LabelSums& sums) {
  long n = 0;
  for (const long px : sums.px) n += px;
  return n;
}

}  // namespace

void MeasureOptions::check() const {
  const auto refuse = [](const char* field) {
    throw Error(ErrorKind::wrong_use,
                std::string("The option ") + field + " must be a number of 0 or more.");
  };
  if (!(label_edge_sd_px >= 0)) refuse("label_edge_sd_px");
  if (!(label_edge_correlation_px >= 0)) refuse("label_edge_correlation_px");
  for (const LabelErrors* errors : {&label_error.board, &label_error.square})
    for (const LabelError& e : *errors)
      if (!(e.log_sd >= 0 && e.missed_share >= 0 && e.false_share >= 0)) refuse("label_error");
}

ZoneTable zone_table(const MeasureInput& input, const Rectification& r,
                     const MeasureOptions& options, const Work& work) {
  options.check();
  check_sizes(input, r);
  const Polygon outline = measured_outline(r), in_photo = part_in_photo(r, outline);
  ZoneTable table;
  table.has_mm = r.has_scale();
  table.grid = grid_over(bounding_box(outline.outer), table.has_mm);
  const PixelLattice lattice(r);
  const PolygonRows outline_rows(photo_polygon(r, outline), r.photo_size_px);
  const SumsResult sums =
      label_sums({input.labels, input.finding_of_px, lattice, outline_rows, table.grid, {}}, work);
  const std::vector<HiddenArea> hidden =
      hidden_by_square(input.hidden, input.hidden_scale, lattice, outline_rows, table.grid);
  const RowTerms square_terms{options, options.label_error.square, table.has_mm};
  const RowTerms board_terms{options, options.label_error.board, table.has_mm};
  const ScaleError scale(r);
  ScaleErrors all_scale{};
  LabelSums all;
  Severity worst = Severity::none;
  for (int j = 0; j < table.grid.rows; ++j)
    for (int i = 0; i < table.grid.columns; ++i) {
      const auto at = static_cast<size_t>(j * table.grid.columns + i);
      const cv::Rect2d rect = square_rect(table.grid, j, i);
      const std::array areas{area(clipped(outline, rect)), area(clipped(in_photo, rect))};
      if (areas[0] <= 0 && pixels(sums.squares[at]) == 0) continue;
      const ScaleErrors errors = scale_errors(scale, sums.squares[at], (rect.tl() + rect.br()) / 2);
      table.squares.push_back(finished_row(square_name(j, i), areas, sums.squares[at], errors,
                                           hidden[at], square_terms));
      add(all_scale, errors);
      worst = worse(worst, table.squares.back().severity);
      all.add(sums.squares[at]);
    }
  table.total = finished_row("board", {area(outline), area(in_photo)}, all, all_scale,
                             sum_of(hidden), board_terms);
  table.total.severity = worst;
  return table;
}

}  // namespace verdigrid
