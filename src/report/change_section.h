// A comparison as a section of a report: verdict, both photos behind one slider, what changed
// where, squares, zones and parts with intervals, and what forbids a verdict.
//
// The owner version has the verdict, the pictures and the board's figures. Text is English, numbers
// never depend on the locale. May be called from any thread. Cost: about 1 s with two photos of 24
// megapixels.
#pragma once

#include <string>

#include "base/work.h"
#include "compare/comparison.h"
#include "photo/photo.h"
#include "report/survey_report.h"

namespace verdigrid {

// `before` and `after` must be the photos of the comparison (require: sizes).
Section change_section(const Comparison& comparison, const Photo& before, const Photo& after,
                       ReportVersion version, const std::string& prefix, const Work& work = {});

// A report of nothing but the comparison.
ReportDocument change_report(const Comparison& comparison, const Photo& before, const Photo& after,
                             const ReportOptions& options, const Work& work = {});

}  // namespace verdigrid
