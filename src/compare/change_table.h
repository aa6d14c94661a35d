// Area before, after, removed and new per square, zone, part and board, with 95 % intervals and a
// verdict that never says "clean".
//
// Areas in mm2 (board px2 without scale), on the frame of the photo before, of what both photos
// show. Removed is what the change map says went, and the balance of borders which lie a little off
// in either photo (area before less area after, new and uncertain areas set aside) where that is
// more than their chance or other residue of the place changed for sure: then patches have shrunk
// or grown by less than the map can show. Intervals of differences and ratios from the intervals of
// their terms: G. Y. Zou, A. Donner, "Construction of confidence limits about effect measures: a
// general approach", Statistics in Medicine 27(10), 2008, 1693-1702. May be called from any thread.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/interval.h"
#include "base/work.h"
#include "compare/change_map.h"
#include "measure/zone_table.h"

namespace verdigrid {

enum class ChangeVerdict {
  nothing_left,  // some before, none after
  improved,      // significantly less than before
  no_significant_change,
  worse,            // significantly more than before
  nothing_flagged,  // in neither photo
  not_shown,        // too little of it is shown by both photos
  not_dry,          // the photo after is not logged dry
};
inline constexpr std::array k_change_verdicts{ChangeVerdict::nothing_left,
                                              ChangeVerdict::improved,
                                              ChangeVerdict::no_significant_change,
                                              ChangeVerdict::worse,
                                              ChangeVerdict::nothing_flagged,
                                              ChangeVerdict::not_shown,
                                              ChangeVerdict::not_dry};
// "nothing left that these photos show", "improved", "no significant change", "worse",
// "nothing flagged in either photo", "not shown by both photos: no verdict", "damp or not logged:
// no verdict"
const char* words(ChangeVerdict v);
const char* name(ChangeVerdict v);  // "nothing-left", "improved", "no-significant-change", "worse",
                                    // "nothing-flagged", "not-shown", "not-dry"

// White salts fade while wet and come back as they dry.
enum class Dryness { not_logged, dry };
const char* name(Dryness d);  // "not-logged", "dry"

struct VerdictOptions {
  Dryness after = Dryness::not_logged;
  double least_area_mm2 = 0.05;      // less is nothing (the least finding of a survey)
  double least_change_mm2 = 1;       // a smaller change is not significant
  double least_change_share = 0.05;  // nor is a smaller share of what was there, 0..1
  double least_shown_share = 0.5;    // of the place that both photos show, 0..1
  void check() const;                // throws Error{wrong_use} naming the field
};

struct ChangeRow {
  std::string name;
  double area = 0;              // of the place, inside the outline
  double compared_percent = 0;  // of it that both photos show and where no part changed
  Interval before, after;       // residue of what is compared
  Interval removed, fresh;      // fresh: new
  double uncertain_gone = 0, uncertain_new = 0;
  std::optional<Interval> removed_percent;  // of `before`; empty when there was none
  double part_changed = 0;                  // area where a part changed
  ChangeVerdict verdict = ChangeVerdict::not_dry;
  bool operator==(const ChangeRow&) const = default;
};

struct ChangeTable {
  bool has_mm = false;
  Grid grid;
  std::vector<ChangeRow> squares, zones, parts;
  ChangeRow total;  // "board"
  bool operator==(const ChangeTable&) const = default;
};

// Areas of one place and their 95 % intervals, and what follows from them. Exposed for tests.
struct ChangeTerms {
  std::string name;
  double area = 0, compared_area = 0;
  Interval before, after, fresh;  // without the scale's share of the interval
  double gone = 0;                // as the change map says
  double uncertain_gone = 0, uncertain_new = 0, part_changed = 0;
  double scale_rel_sd = 0;  // of an area
  double correlation = 0;   // of the errors of `before` and `after`, 0..1
};
ChangeRow change_row(const ChangeTerms& terms, bool has_mm, const VerdictOptions& options);

// zone_table()'s options: `before` for the labels before, `after` for those after and new.
struct ChangeTableInput {
  const ChangeMap& map;
  const Rectification& rectification;  // of the photo before
  const Layout* layout = nullptr;      // in its frame; null: none
  const MeasureOptions& before;
  const MeasureOptions& after;
  bool is_one_detector = false;  // the same detector made both: it errs alike
};
ChangeTable change_table(const ChangeTableInput& input, const VerdictOptions& options,
                         const Work& work = {});

}  // namespace verdigrid
