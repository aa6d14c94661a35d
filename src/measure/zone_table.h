// Affected area per square, zone, part and class: every pixel counts with its own area on the
// board, and every area carries a 95 % interval.
//
// Only full-size labels are measured. Areas are mm2 when the rectification has a scale, else board
// px2 (never shown as mm2); percent is of the row's area that lies in the photo. Pixels belong to
// the row that holds their centre; what lies outside the outline is not counted. Deterministic on
// any number of threads; may be called from any thread. Cost: tests/bench/zones_speed.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/interval.h"
#include "base/work.h"
#include "detect/residue.h"
#include "layout/grid.h"
#include "layout/part_kind.h"
#include "measure/label_error.h"
#include "measure/reach_options.h"
#include "measure/severity.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Layout;

struct Amount {
  long px = 0;       // labelled pixels
  Interval area;     // mm2 (or board px2 without scale); value: the labels as they are
  Interval percent;  // of the row's area in the photo; without the scale's share of the interval
  bool operator==(const Amount&) const = default;
};

// What this photo cannot show, in percent of the row's area. Glare, blur and parts may lie on one
// place: `total` counts it once.
struct Unseen {
  double glare_percent = 0;
  double blur_percent = 0;
  double under_parts_percent = 0;  // of a layout's parts, less those that were peeked under; of
                                   // bodies seen in the photo where there is no layout
  double outside_photo_percent = 0;
  double total_percent = 0;
  bool operator==(const Unseen&) const = default;
};

struct ZoneRow {
  std::string name;                              // "C6", a zone's name, a part, or "board"
  double area = 0;                               // clipped by the outline
  double area_in_photo = 0;                      // the part of it that the photo covers
  std::array<Amount, k_residue_count> by_class;  // index = residue id; [0] unused
  Amount affected;                               // all classes together
  std::vector<int> findings;                     // ids that lie in it, rising
  std::vector<std::string> parts_reached;        // designators, in the layout's order
  Unseen unseen;
  int astm_d610 = 10, iso10289 = 10, iso4628_3 = 0;
  Severity severity = Severity::none;
  bool operator==(const ZoneRow&) const = default;
};

// "copper attacked, 3 parts reached"
std::string severity_words(const ZoneRow& row);

enum class Reach { none, near, touched };  // near: within the creep distance
const char* name(Reach reach);             // "not reached", "near", "touched"

// A part of the layout. `row` is of its body and lands as they show on this side; its findings are
// those within the creep distance.
struct PartRow {
  ZoneRow row;
  PartKind kind = PartKind::unknown;
  Side side = Side::front;  // on which the part sits
  Reach reach = Reach::none;
  int joints = 0, joints_reached = 0;  // those that show on this side
  bool hides = false;                  // its body covers board that nobody has looked at
  bool operator==(const PartRow&) const = default;
};

struct ZoneTable {
  bool has_mm = false;
  Grid grid;
  std::vector<ZoneRow> squares;  // row by row; only squares that the outline touches
  std::vector<ZoneRow> zones;    // of the layout, this side; may overlap each other
  std::vector<PartRow> parts;    // of the layout, both sides
  ZoneRow total;                 // named "board"; from the squares, so nothing counts twice
  bool operator==(const ZoneTable&) const = default;
};

struct MeasureOptions {
  // How far the border of a labelled patch lies off, standard deviation in px along its normal, and
  // over how many px of border that error stays the same. 0.29 (1 / sqrt(12), a border rounded to
  // whole pixels) is what true labels have; see measure/area_interval.h.
  double label_edge_sd_px = 0.5;
  double label_edge_correlation_px = 3;
  DetectorError label_error;  // of the detector that made the labels; default: true labels
  ReachOptions reach;
  std::vector<std::string> peeked;  // designators of parts that were looked under

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// All pictures are those of one photo.
struct MeasureInput {
  cv::Mat labels;         // CV_8UC1 residue ids 0..7, size of the photo
  cv::Mat finding_of_px;  // CV_16UC1 finding ids or 0, same size; may be empty
  cv::Mat hidden;         // as PhotoCheck::hidden; may be empty
  double hidden_scale = 1;
  std::vector<Ring> hiding_px = {};  // bodies of parts that no layout names, photo px
};

// The grid lies over the outline of `rectification` (over the photo frame when there is none).
// Throws Error{bad_input} for labels of another size than the photo the rectification was made for.
ZoneTable zone_table(const MeasureInput& input, const Rectification& rectification,
                     const MeasureOptions& options, const Work& work = {});

// The same with a layout in the board frame of `rectification`: zones and parts too, in the same
// pass. Throws as layout_regions.
ZoneTable zone_table(const MeasureInput& input, const Rectification& rectification,
                     const Layout& layout, const MeasureOptions& options, const Work& work = {});

}  // namespace verdigrid
