// Logged minutes against the estimate as a picture and as a document: what took longer than
// planned, by operation, person and board type.
//
// One row a name, one dot a job, on a logarithmic axis from a quarter of the likely minutes to four
// times; dots beyond stand at its ends.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "plan/against_estimate.h"
#include "report/document.h"

namespace verdigrid {

struct ActualsPlotOptions {
  int width_px = 1400;
  bool is_dark = false;  // light lines on a dark ground
};

// At most 24 rows, the first ones; an empty list gives the axis alone. CV_8UC3.
cv::Mat actuals_plot(const std::vector<ActualsRow>& rows, const ActualsPlotOptions& options = {});

// Throws Error{no_result} where nothing was logged. People are named: for the workshop itself.
ReportDocument actuals_report(const std::vector<JobAgainst>& jobs);

}  // namespace verdigrid
