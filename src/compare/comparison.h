// A comparison: two aligned photos of one side of one board, what became of its residue, and what
// changed on it besides. A machine result like a survey: never edited, saved, loaded and shown
// again.
//
// Every px is of the photo before, every board coordinate and area of its rectification's frame. A
// value: copies share pixels, which nobody writes. Files: compare/comparison_file.h.
//
//   Comparison c = comparison_of({before, before_survey}, {after, after_survey}, options, work);
//   c.table.total.removed_percent, c.changes, c.classes
//   cv::Mat shown = aligned_after(after.bgr, c.alignment, size, &c.harmony);   // to blink, to
//   swipe
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/work.h"
#include "compare/alignment.h"
#include "compare/change_map.h"
#include "compare/change_table.h"
#include "compare/look_change.h"
#include "compare/part_change.h"
#include "measure/survey.h"

namespace verdigrid {

struct ComparisonOptions {
  AlignmentOptions alignment;
  LookChangeOptions look;
  ChangeMapOptions map;
  PartChangeOptions parts;
  VerdictOptions verdict;
  double removed_share = 0.8;      // of a finding that must have gone to call it removed, 0..1
  double uncertain_share = 0.5;    // of a finding that makes it uncertain, 0..1
  double least_change_mm2 = 0.05;  // smaller new or uncertain patches are no item of the list
  long least_change_px = 4;        // the same in px of the photo before
  void check() const;              // throws Error{wrong_use} naming the field
};

// One photo with its survey.
struct SurveyedPhoto {
  const Photo& photo;
  const Survey& survey;
};

// One thing to walk through. `what`: removed, remaining, fresh (new), uncertain_gone or
// uncertain_new for residue; part_changed for a part.
struct ChangeItem {
  int id = 0;  // 1.. in order of worth: new, then remaining, uncertain, parts, removed
  ChangeClass what = ChangeClass::remaining;
  Residue residue = Residue::none;            // none for a part
  int finding_before = 0, finding_after = 0;  // ids in the surveys; 0: none
  cv::Rect box_px;
  cv::Point2d centre_px;
  std::string square;          // of the grid; empty outside it
  double area = 0;             // of the finding (before, or the new one) or of the part's region
  double removed_percent = 0;  // of a finding before
  std::string part;            // "missing", "turned C4" ...; empty for residue
  bool operator==(const ChangeItem&) const = default;
};

// One of the two photos and what its survey was made with.
struct ComparedPhoto {
  std::string name;    // file name without folder
  std::string sha256;  // of its bytes
  cv::Size size_px;
  std::string captured_at;  // as in PhotoMeta; empty: not known
  std::string detector;
  bool operator==(const ComparedPhoto&) const = default;
};

struct Comparison {
  std::string program_version;
  ComparedPhoto before, after;
  ComparisonOptions options;
  Rectification rectification;  // of the photo before
  Alignment alignment;
  Harmony harmony;
  cv::Mat classes;  // CV_8UC1, ChangeClass, size of the photo before
  ChangeTable table;
  std::optional<LayoutName> layout;
  std::vector<PartChange> part_changes;
  std::vector<ChangeItem> changes;
  std::vector<std::string> remarks;  // sentences for the person
};

// Why the two photos cannot be aligned, as sentences; empty when they can. For who compares many
// and must go on. Cost: that of registered().
std::vector<std::string> reasons_not_aligned(const SurveyedPhoto& before,
                                             const SurveyedPhoto& after,
                                             const AlignmentOptions& options = {},
                                             const Work& work = {});

// Throws Error{no_result} when the photos cannot be aligned (see alignment.h), Error{bad_input}
// when a survey is not of its photo or the surveys are of two sides. Same input, same comparison.
// Cost: tests/bench/compare_pairs.
Comparison comparison_of(const SurveyedPhoto& before, const SurveyedPhoto& after,
                         const ComparisonOptions& options, const Work& work = {});

// The same with a layout in the board frame of the survey before: zones, parts and their changes.
Comparison comparison_of(const SurveyedPhoto& before, const SurveyedPhoto& after,
                         const Layout& layout, const ComparisonOptions& options,
                         const Work& work = {});

// Ten lines at most, for people; never a clearance.
std::vector<std::string> summary_lines(const Comparison& comparison);

}  // namespace verdigrid
