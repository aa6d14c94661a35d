// Figures as people read them: few digits, units, and the interval beside the value.
//
// Text is UTF-8; the decimal sign is a point whatever the locale. May be called from any thread.
#pragma once

#include <string>

#include "base/interval.h"
#include "measure/survey.h"

namespace verdigrid {

// Three significant digits below 100, whole numbers above: "0.0412", "3.18", "41.2", "1280"; "not
// known" for a NaN, which has no unit either.
std::string figure(double value);
std::string figure(double value, const std::string& unit);

// "12.4 mm² (10.9 to 14.1)".
std::string area_figure(const Interval& area_mm2);

// "3.1 %"; below 0.01 % "< 0.01 %" unless it is 0.
std::string percent_figure(double percent);

// Area with interval and share of the board, or the share alone when there is no scale.
std::string amount_figure(const Amount& amount, bool has_mm);

// The one sentence of a survey without findings. Never a clearance.
std::string nothing_found_sentence(const Survey& survey);

// How the scale was had: "12.3 px per mm (± 1.4 %), by the board's size and outline", or that there
// is none.
std::string scale_figure(const Rectification& rectification);

}  // namespace verdigrid
