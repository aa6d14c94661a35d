// From sums of pixels to one finished row; used inside this folder.
#pragma once

#include <array>
#include <string>

#include "measure/label_sums.h"
#include "measure/scale_error.h"
#include "measure/unseen.h"
#include "measure/zone_table.h"

namespace verdigrid {

struct RowTerms {
  const MeasureOptions& options;
  const LabelErrors& labels;
  bool has_mm;
};

// Errors by the scale of each class's area; [0]: of all classes together.
using ScaleErrors = std::array<ScaleError::Errors, k_residue_count>;

ScaleErrors scale_errors(const ScaleError& scale, const LabelSums& sums, cv::Point2d centre);
void add(ScaleErrors& to, const ScaleErrors& from);

struct RowInput {
  std::string name;
  double area = 0, area_in_photo = 0;
  ScaleErrors scale{};
  HiddenArea hidden;
};

ZoneRow zone_row(const RowInput& input, const LabelSums& sums, const RowTerms& terms);

}  // namespace verdigrid
