// Photo check: is this photo good enough to judge a board by, and if not, what to reshoot.
//
// Pure: pixels in, figures out. A verdict never stops a survey. May be called from any thread.
// Cost: must stay below 0.2 of a decode (it looks at a reduced picture where the figure allows).
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "photo/photo.h"

namespace verdigrid {

enum class Verdict { good, usable, reshoot, unknown };
const char* name(Verdict v);  // "good", "usable", "reshoot", "unknown"

struct CheckItem {
  std::string id;     // "focus", "clipping", "glare", "light", "colour-cast", "resolution", "tilt"
  double figure = 0;  // in `unit`
  std::string unit;
  double good_limit = 0, usable_limit = 0;
  std::string source;  // of the limits
  Verdict verdict = Verdict::unknown;
  std::string sentence;  // what was seen and what to change
};

struct PhotoCheckOptions {
  double feature_mm = 0.3;          // smallest feature wanted
  std::optional<double> px_per_mm;  // none: resolution is unknown
  std::optional<double> tilt_deg;   // noted, never rejected
  Polygon board_px;                 // judge only inside it; empty: whole frame

  void check() const;
};

struct PhotoCheck {
  std::vector<CheckItem> items;
  Verdict verdict = Verdict::unknown;  // the worst of the known ones, tilt left out
  // What this photo cannot show, at reduced size (see hidden_scale): CV_8UC1, bit 0 glare, bit 1
  // blur. Outside the board: 0.
  cv::Mat hidden;
  double hidden_scale =
      1;  // hidden px = photo px * hidden_scale (pixel areas: floor((x + 0.5) * scale))
};

PhotoCheck photo_check(const Photo& photo, const PhotoCheckOptions& options, const Work& work = {});

}  // namespace verdigrid
