// How far a detector's labels are off as an area: measured on rendered boards of known truth, used
// to widen every interval.
//
// Model: ln(labelled area / true area) is normal with `log_bias` and a standard deviation that
// falls with the area, sd^2 = log_sd^2 + patch / A where A is the labelled area and `patch` a
// spread per patch (both in mm2, or px2 without scale); on top of it `missed_share` of the row's
// area may be residue that was not flagged at all, and the same share may be flagged without being
// residue. All zero: the labels are the truth. Figures and how they were measured: label_error.cpp.
#pragma once

#include <string_view>

namespace verdigrid {

struct LabelError {
  double log_bias = 0;      // mean of ln(labelled / true), taken out of the interval's centre
  double log_sd = 0;        // spread that stays however large the area
  double missed_share = 0;  // of the row's area: the interval reaches this much further both ways
  bool operator==(const LabelError&) const = default;
};

// For a detector's id; an id that is not in the table gets the widest row.
LabelError label_error_of(std::string_view detector_id);

}  // namespace verdigrid
