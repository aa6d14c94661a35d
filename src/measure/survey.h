// A survey: one detection run on one photo, with everything needed to show it again bit for bit. A
// machine result, never edited.
//
// A value: copies share pixels, which nobody writes. Files: measure/survey_file.h.
#pragma once

#include <string>
#include <vector>

#include "base/work.h"
#include "detect/detector.h"
#include "detect/findings.h"
#include "detect/map_edit.h"
#include "detect/part_looks.h"
#include "measure/likely_source.h"
#include "measure/other_side.h"
#include "measure/zone_table.h"
#include "photo/check.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct SurveyOptions {
  DetectorOptions detector;
  FindingOptions findings;
  PhotoCheckOptions check;  // px_per_mm, tilt_deg and board_px are filled in by survey_of
  MeasureOptions measure;   // label_error is filled in by survey_of, from the detector's id
  SourceOptions sources;    // used with a layout only

  void check_all() const;  // throws Error{wrong_use} that names the wrong field
};

// A picture made from the survey that lies beside it, for people: overlay.jpg, places.jpg.
struct PictureName {
  std::string file;    // without folder
  std::string sha256;  // of its bytes, 64 hex digits
  bool operator==(const PictureName&) const = default;
};

// Which layout a survey was measured with.
struct LayoutName {
  std::string board_type, revision;
  bool operator==(const LayoutName&) const = default;
};

// How much of a survey people decided: what their review held when its areas were computed.
struct ReviewCounts {
  int answers = 0, edits = 0;
  bool operator==(const ReviewCounts&) const = default;
};

struct Survey {
  std::string program_version;
  std::string detector_id;
  SurveyOptions options;  // as used, with what survey_of filled in
  PhotoMeta photo;
  cv::Size photo_size_px;
  PhotoCheck check;
  Rectification rectification;
  ResidueMap map;
  Findings findings;
  ZoneTable zones;                    // zones.total.unseen: the share this photo cannot show
  std::optional<LayoutName> layout;   // set: `zones` has its zones and parts, and these are filled
  std::vector<LikelySource> sources;  // one per finding
  PartLooks part_looks;               // filled where there is no layout: what hides the board
  std::vector<OtherSideLook> other_side;  // what to look at on the other side
  std::optional<ReviewCounts> review;     // set: areas are of the map with a review taken in
  std::vector<PictureName> pictures;      // empty until a survey_file.h function writes some

  bool nothing_found() const { return findings.findings.empty(); }
};

// Photo check -> residue map -> findings and places -> zone table, with `rectification` given (made
// for a photo of this size: else Error{bad_input}). Same input, same survey, on any number of
// threads. Cost: see tests/bench/speed.
Survey survey_of(const Photo& photo, const Rectification& rectification, const Detector& detector,
                 const SurveyOptions& options, const Work& work = {});

// The same with a layout in the board frame of `rectification` (a placed one:
// compare/place_layout.h).
Survey survey_of(const Photo& photo, const Rectification& rectification, const Layout& layout,
                 const Detector& detector, const SurveyOptions& options, const Work& work = {});

// The machine's survey with what people answered and changed by hand taken in: findings, places and
// areas are computed anew, the machine's own survey stays as it was. `base` is look_base() of the
// survey's own map; `layout` the one that the survey was measured with, null for none.
struct ReviewedSurvey {
  Look look;  // its places are those that no edit has decided
  Survey survey;
};
ReviewedSurvey reviewed_survey(const Photo& photo, const Survey& survey, const LookBase& base,
                               const std::vector<Answer>& answers,
                               const std::vector<MapEdit>& edits, const Layout* layout,
                               const Work& work = {});

// The version of this program, "0.1.0".
std::string program_version();

}  // namespace verdigrid
