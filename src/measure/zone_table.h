// Affected area per square, zone and part: whole-pixel counts weighted by each pixel's own area on
// the board, with a 95 % interval.
//
// Only full-size labels are measured. Units: mm2 when the rectification has a scale, else board px2
// (never shown as mm2) and percent.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/interval.h"
#include "base/work.h"
#include "detect/findings.h"
#include "detect/residue.h"
#include "layout/grid.h"
#include "rectify/rectification.h"

namespace verdigrid {

// Our own first word on how bad a place is; never a treatment. Thresholds in measure/severity.h.
enum class Severity { none, surface, copper_attacked, ask_first };
const char* name(Severity s);  // "nothing found", "surface", "copper attacked", "ask first"

struct Amount {
  long px = 0;
  Interval area;       // mm2 (or board px2 without scale)
  double percent = 0;  // of the row's visible outline-clipped area
};

struct ZoneRow {
  std::string name;                              // "C6", or a zone's name
  double area = 0;                               // outline-clipped area of the square, same unit
  std::array<Amount, k_residue_count> by_class;  // index = residue id; [0] unused
  Amount affected;                               // all classes together
  double unseen_percent = 0;
  int astm_d610 = 10, iso10289 = 10, iso4628_3 = 0;
  Severity severity = Severity::none;
};

struct ZoneTable {
  bool has_mm = false;
  Grid grid;
  std::vector<ZoneRow> squares;  // row by row; only squares that the outline touches
  ZoneRow total;                 // named "board"
};

struct MeasureOptions {
  // Standard deviation of a residue edge, in px, when the labels are true (edge term only) and when
  // they are our own.
  double label_edge_sd_px = 0.5;
  // Relative spread of our own labels' area against truth, from the rendered boards (log-normal
  // sd); 0 when true labels are given.
  double label_log_sd = 0;
  double label_log_bias =
      0;  // mean of ln(our area / true area), taken out of the interval's centre
};

// `labels` CV_8UC1 residue ids, size of the photo; `unseen` CV_8UC1 0 or 255, same size, may be
// empty.
ZoneTable zone_table(const cv::Mat& labels, const cv::Mat& unseen,
                     const Rectification& rectification, const MeasureOptions& options,
                     const Work& work = {});

}  // namespace verdigrid
