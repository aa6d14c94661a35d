#include "measure/zone_row.h"

#include <algorithm>
#include <numbers>

#include "measure/area_interval.h"
#include "measure/grades.h"

namespace verdigrid {

namespace {

double edge_variance(double border, const MeasureOptions& options) {
  return options.label_edge_sd_px * options.label_edge_sd_px * options.label_edge_correlation_px *
         std::numbers::pi / 4 * border;
}

Interval in_percent(Interval area, double of) {
  const auto percent = [of](double a) { return of > 0 ? std::min(100.0, 100 * a / of) : 0; };
  return {percent(area.value), percent(area.low), percent(area.high)};
}

Amount amount_of(long px, double area, double border, ScaleError::Errors scale,
                 const LabelError& label, const ZoneRow& row, const RowTerms& terms) {
  AreaErrors errors{ScaleError::variance(scale), edge_variance(border, terms.options), label,
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
          percent_of(hidden.under_parts, row.area), percent_of(outside, row.area),
          percent_of(outside + hidden.any, row.area)};
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

}  // namespace

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

ZoneRow zone_row(const RowInput& input, const LabelSums& sums, const RowTerms& terms) {
  ZoneRow row;
  row.name = input.name;
  row.area = input.area;
  row.area_in_photo = std::min(input.area, input.area_in_photo);
  fill_amounts(row, sums, input.scale, terms);
  row.unseen = unseen_of(input.hidden, row);
  fill_grades(row, terms.has_mm);
  return row;
}

}  // namespace verdigrid
