// Affected area per square and class: every pixel counts with its own area on the board, and every
// area carries a 95 % interval.
//
// Only full-size labels are measured. Areas are mm2 when the rectification has a scale, else board
// px2 (never shown as mm2); percent is of the row's area that lies in the photo. Pixels belong to
// the row that holds their centre; what lies outside the outline is not counted. Deterministic on
// any number of threads; may be called from any thread. Cost: about 0.05 s for 24 MP on two cores
// with one part in ten labelled (tests/bench/measure_speed).
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/interval.h"
#include "base/work.h"
#include "detect/residue.h"
#include "layout/grid.h"
#include "measure/label_error.h"
#include "measure/severity.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Amount {
  long px = 0;       // labelled pixels
  Interval area;     // mm2 (or board px2 without scale); value: the labels as they are
  Interval percent;  // of the row's area in the photo; without the scale's share of the interval
  bool operator==(const Amount&) const = default;
};

// What this photo cannot show, in percent of the row's area. Glare and blur may lie on one place:
// `total` counts it once.
struct Unseen {
  double glare_percent = 0;
  double blur_percent = 0;
  double outside_photo_percent = 0;
  double total_percent = 0;
  bool operator==(const Unseen&) const = default;
};

struct ZoneRow {
  std::string name;                              // "C6", a zone's name, or "board"
  double area = 0;                               // clipped by the outline
  double area_in_photo = 0;                      // the part of it that the photo covers
  std::array<Amount, k_residue_count> by_class;  // index = residue id; [0] unused
  Amount affected;                               // all classes together
  std::vector<int> findings;                     // ids that lie in it, rising
  Unseen unseen;
  int astm_d610 = 10, iso10289 = 10, iso4628_3 = 0;
  Severity severity = Severity::none;
  bool operator==(const ZoneRow&) const = default;
};

struct ZoneTable {
  bool has_mm = false;
  Grid grid;
  std::vector<ZoneRow> squares;  // row by row; only squares that the outline touches
  ZoneRow total;                 // named "board"
  bool operator==(const ZoneTable&) const = default;
};

struct MeasureOptions {
  // How far the border of a labelled patch lies off, standard deviation in px along its normal, and
  // over how many px of border that error stays the same. 0.29 (1 / sqrt(12), a border rounded to
  // whole pixels) is what true labels have; see measure/area_interval.h.
  double label_edge_sd_px = 0.5;
  double label_edge_correlation_px = 3;
  DetectorError label_error;  // of the detector that made the labels; default: true labels

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// All pictures are those of one photo.
struct MeasureInput {
  cv::Mat labels;         // CV_8UC1 residue ids 0..7, size of the photo
  cv::Mat finding_of_px;  // CV_16UC1 finding ids or 0, same size; may be empty
  cv::Mat hidden;         // as PhotoCheck::hidden; may be empty
  double hidden_scale = 1;
};

// The grid lies over the outline of `rectification` (over the photo frame when there is none).
// Throws Error{bad_input} for labels of another size than the photo the rectification was made for.
ZoneTable zone_table(const MeasureInput& input, const Rectification& rectification,
                     const MeasureOptions& options, const Work& work = {});

}  // namespace verdigrid
