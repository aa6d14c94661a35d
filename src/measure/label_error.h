// How far a detector's labels are off as an area: measured on rendered boards of known truth, used
// to widen every interval.
//
// Model, for a place (a square, a zone or the whole board) of which the area A was labelled: the
// true area lies between A e^(-bias - 1.96 sd) - false_share x place and A e^(-bias + 1.96 sd) +
// missed_share x place in 95 of 100 cases. All zero: the labels are the truth. The shares depend on
// how much residue boards carry; those of label_error.cpp hold for boards as bad as the rendered
// ones, which are bad. Figures and how they were measured: label_error.cpp.
#pragma once

#include <array>
#include <string_view>

#include "detect/residue.h"

namespace verdigrid {

struct LabelError {
  double log_bias = 0;      // mean of ln(labelled / true)
  double log_sd = 0;        // its standard deviation
  double missed_share = 0;  // of the place: residue that was not labelled at all
  double false_share = 0;   // of the place: labelled without being residue
  bool operator==(const LabelError&) const = default;
};

// Index = residue id; [0]: all classes together.
using LabelErrors = std::array<LabelError, k_residue_count>;

struct DetectorError {
  LabelErrors board, square;  // zones count as squares
  bool operator==(const DetectorError&) const = default;
};

// For a detector's id; an id that is not in the table gets the widest row.
DetectorError detector_error_of(std::string_view detector_id);

}  // namespace verdigrid
