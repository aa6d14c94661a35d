#include "compare/change_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/error.h"
#include "layout/layout.h"

namespace verdigrid {

namespace {

// Share of the residue before that must have changed for sure: then its borders have changed too,
// and their balance counts as it stands.
constexpr double k_clear_change = 0.02;
// How far a detector errs alike on two photos of one board: on rendered pairs (tests/bench,
// compare_pairs) what it misses before it mostly misses after.
constexpr double k_same_detector = 0.5;

// first - second, by the method of variance estimates recovery.
Interval difference(const Interval& first, const Interval& second, double correlation) {
  const auto reach = [correlation](double a, double b) {
    return std::sqrt(std::max(0.0, a * a + b * b - 2 * correlation * a * b));
  };
  const double value = first.value - second.value;
  return {value, value - reach(first.value - first.low, second.high - second.value),
          value + reach(first.high - first.value, second.value - second.low)};
}

Interval at_least_0(Interval i) {
  return {std::max(0.0, i.value), std::max(0.0, i.low), std::max(0.0, i.high)};
}

// Share of `part` in `whole`, in percent, on the logarithms.
Interval percent_of(const Interval& part, const Interval& whole, double correlation) {
  if (part.value <= 0)
    return {0, 0, std::clamp(100 * part.high / std::max(whole.low, 1e-12), 0.0, 100.0)};
  const auto log = [](const Interval& i) {
    return Interval{std::log(i.value), std::log(std::max(i.low, 1e-9 * i.value)), std::log(i.high)};
  };
  const Interval d = difference(log(part), log(whole), correlation);
  const auto percent = [](double l) { return std::clamp(100 * std::exp(l), 0.0, 100.0); };
  return {percent(d.value), percent(d.low), percent(d.high)};
}

Interval with_scale(const Interval& i, double rel_sd) {
  const double scale = 1.96 * rel_sd * i.value;
  return {i.value, std::max(0.0, i.value - std::hypot(i.value - i.low, scale)),
          i.value + std::hypot(i.high - i.value, scale)};
}

ChangeVerdict verdict_of(const ChangeTerms& t, const Interval& less, bool has_mm,
                         const VerdictOptions& options) {
  if (options.after != Dryness::dry) return ChangeVerdict::not_dry;
  if (t.area > 0 && t.compared_area + t.part_changed < options.least_shown_share * t.area)
    return ChangeVerdict::not_shown;
  if (t.before.value <= 0 && t.after.value <= 0) return ChangeVerdict::nothing_flagged;
  const double least = has_mm ? options.least_area_mm2 : 0;
  const bool none_after = t.after.value <= least && t.uncertain_gone <= least;
  if (none_after && t.before.value > least) return ChangeVerdict::nothing_left;
  const double counts = std::max(has_mm ? options.least_change_mm2 : 0.0,
                                 options.least_change_share * t.before.value);
  if (less.low > 0 && less.value > counts) return ChangeVerdict::improved;
  if (less.high < 0 && -less.value > counts) return ChangeVerdict::worse;
  return ChangeVerdict::no_significant_change;
}

// The interval of an amount without what the scale adds.
Interval unscaled(const Amount& amount, double area) {
  const double to_area = area / 100;
  return {amount.area.value, std::min(amount.area.value, amount.percent.low * to_area),
          std::max(amount.area.value, amount.percent.high * to_area)};
}

// The three tables that one row is made of.
struct Rows {
  const ZoneRow &before, &after, &classes;
};

double area_of(const ZoneRow& classes, ChangeClass c) {
  return classes.by_class[static_cast<size_t>(c)].area.value;
}

ChangeTerms terms_of(const Rows& rows, const ZoneRow& fresh, const ChangeTableInput& input) {
  ChangeTerms t;
  t.name = rows.before.name;
  t.area = rows.before.area;
  t.part_changed = area_of(rows.classes, ChangeClass::part_changed);
  t.compared_area = std::max(0.0, rows.before.area_in_photo - t.part_changed -
                                      area_of(rows.classes, ChangeClass::not_compared));
  t.before = unscaled(rows.before.affected, rows.before.area_in_photo);
  t.after = unscaled(rows.after.affected, rows.after.area_in_photo);
  t.fresh = unscaled(fresh.affected, fresh.area_in_photo);
  if (t.fresh.value <= 0) t.fresh = {};
  t.gone = area_of(rows.classes, ChangeClass::removed);
  t.uncertain_gone = area_of(rows.classes, ChangeClass::uncertain_gone);
  t.uncertain_new = area_of(rows.classes, ChangeClass::uncertain_new);
  t.scale_rel_sd = 2 * input.rectification.length_rel_sd;
  t.correlation = input.is_one_detector ? k_same_detector : 0;
  return t;
}

}  // namespace

const char* words(ChangeVerdict v) {
  switch (v) {
    case ChangeVerdict::nothing_left:
      return "nothing left that these photos show";
    case ChangeVerdict::improved:
      return "improved";
    case ChangeVerdict::no_significant_change:
      return "no significant change";
    case ChangeVerdict::worse:
      return "worse";
    case ChangeVerdict::nothing_flagged:
      return "nothing flagged in either photo";
    case ChangeVerdict::not_shown:
      return "not shown by both photos: no verdict";
    case ChangeVerdict::not_dry:
      return "damp or not logged: no verdict";
  }
  throw Error(ErrorKind::internal, "Internal fault: a verdict has no words. Please report it.");
}

const char* name(ChangeVerdict v) {
  switch (v) {
    case ChangeVerdict::nothing_left:
      return "nothing-left";
    case ChangeVerdict::improved:
      return "improved";
    case ChangeVerdict::no_significant_change:
      return "no-significant-change";
    case ChangeVerdict::worse:
      return "worse";
    case ChangeVerdict::nothing_flagged:
      return "nothing-flagged";
    case ChangeVerdict::not_shown:
      return "not-shown";
    case ChangeVerdict::not_dry:
      return "not-dry";
  }
  throw Error(ErrorKind::internal, "Internal fault: a verdict has no name. Please report it.");
}

const char* name(Dryness d) { return d == Dryness::dry ? "dry" : "not-logged"; }

void VerdictOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Verdict: {}.", what));
  };
  if (!(least_area_mm2 >= 0)) refuse("least_area_mm2 must be 0 or more");
  if (!(least_change_mm2 >= 0)) refuse("least_change_mm2 must be 0 or more");
  if (!(least_change_share >= 0 && least_change_share <= 1))
    refuse("least_change_share must be 0 to 1");
  if (!(least_shown_share >= 0 && least_shown_share <= 1))
    refuse("least_shown_share must be 0 to 1");
}

namespace {

Interval removed_of(const ChangeTerms& t) {
  const double rest =
      t.before.value - t.after.value - t.gone - t.uncertain_gone + t.fresh.value + t.uncertain_new;
  const double chance =
      rest > 0 ? std::hypot(t.before.value - t.before.low, t.after.high - t.after.value)
               : std::hypot(t.before.high - t.before.value, t.after.value - t.after.low);
  const bool is_washed = t.gone + t.fresh.value > k_clear_change * t.before.value;
  const double value = std::max(0.0, t.gone + (is_washed || rest > chance ? rest : 0));
  // Removed is before less what is left; what is left errs as the residue after and the new do.
  const Interval left{t.before.value - value,
                      t.before.value - value -
                          std::hypot(t.after.value - t.after.low, t.fresh.high - t.fresh.value) -
                          t.uncertain_gone,
                      t.before.value - value +
                          std::hypot(t.after.high - t.after.value, t.fresh.value - t.fresh.low)};
  Interval removed = at_least_0(difference(t.before, at_least_0(left), t.correlation));
  removed.value = value;
  removed.low = std::min(removed.low, value);
  removed.high = std::max(value, std::min(removed.high, t.before.high));
  return removed;
}

}  // namespace

ChangeRow change_row(const ChangeTerms& t, bool has_mm, const VerdictOptions& options) {
  ChangeRow row;
  row.name = t.name;
  row.area = t.area;
  row.compared_percent = t.area > 0 ? std::clamp(100 * t.compared_area / t.area, 0.0, 100.0) : 0;
  row.uncertain_gone = t.uncertain_gone;
  row.uncertain_new = t.uncertain_new;
  row.part_changed = t.part_changed;
  const Interval removed = removed_of(t);
  Interval left{std::max(0.0, t.before.value - removed.value), t.before.value - removed.high,
                t.before.value - removed.low};
  left = at_least_0(left);
  const Interval less = difference(t.before, t.after, t.correlation);
  row.before = with_scale(t.before, t.scale_rel_sd);
  row.after = with_scale(t.after, t.scale_rel_sd);
  row.removed = with_scale(removed, t.scale_rel_sd);
  row.fresh =
      with_scale({t.fresh.value, t.fresh.low, t.fresh.high + t.uncertain_new}, t.scale_rel_sd);
  if (t.before.value > 0) {
    const Interval stays = percent_of(left, t.before, 1);
    row.removed_percent = Interval{std::clamp(100 * removed.value / t.before.value, 0.0, 100.0),
                                   100 - stays.high, 100 - stays.low};
    row.removed_percent->low = std::min(row.removed_percent->low, row.removed_percent->value);
    row.removed_percent->high = std::max(row.removed_percent->high, row.removed_percent->value);
  }
  row.verdict = verdict_of(t, less, has_mm, options);
  return row;
}

ChangeTable change_table(const ChangeTableInput& input, const VerdictOptions& options,
                         const Work& work) {
  options.check();
  MeasureOptions plain;  // areas of classes: no label error of their own
  const auto table = [&](const cv::Mat& labels, const MeasureOptions& measure, double from,
                         double to) {
    const MeasureInput in{labels, {}, {}, 1};
    return input.layout
               ? zone_table(in, input.rectification, *input.layout, measure, work.part(from, to))
               : zone_table(in, input.rectification, measure, work.part(from, to));
  };
  cv::Mat fresh_labels = cv::Mat::zeros(input.map.classes.size(), CV_8UC1);
  input.map.labels_after.copyTo(fresh_labels,
                                input.map.classes == static_cast<double>(ChangeClass::fresh));
  const ZoneTable before = table(input.map.labels_before, input.before, 0, 0.25),
                  after = table(input.map.labels_after, input.after, 0.25, 0.5),
                  fresh = table(fresh_labels, input.after, 0.5, 0.75),
                  classes = table(input.map.classes, plain, 0.75, 1);
  ChangeTable out;
  out.has_mm = before.has_mm;
  out.grid = before.grid;
  const auto row = [&](const ZoneRow& b, const ZoneRow& a, const ZoneRow& f, const ZoneRow& c) {
    return change_row(terms_of({b, a, c}, f, input), out.has_mm, options);
  };
  // Squares without outline and without labels are left out of a table: found by name.
  const auto named = [](const std::vector<ZoneRow>& rows, const std::string& name) {
    const auto at =
        std::find_if(rows.begin(), rows.end(), [&](const ZoneRow& r) { return r.name == name; });
    return at == rows.end() ? ZoneRow{.name = name} : *at;
  };
  for (const ZoneRow& c : classes.squares)
    out.squares.push_back(row(named(before.squares, c.name), named(after.squares, c.name),
                              named(fresh.squares, c.name), c));
  for (size_t i = 0; i < before.zones.size(); ++i)
    out.zones.push_back(row(before.zones[i], after.zones[i], fresh.zones[i], classes.zones[i]));
  for (size_t i = 0; i < before.parts.size(); ++i)
    out.parts.push_back(
        row(before.parts[i].row, after.parts[i].row, fresh.parts[i].row, classes.parts[i].row));
  out.total = row(before.total, after.total, fresh.total, classes.total);
  return out;
}

}  // namespace verdigrid
