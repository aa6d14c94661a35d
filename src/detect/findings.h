// Findings (flagged regions) and places (crops worth a look), from a residue map.
//
// May be called from any thread. Cost: below 30 ms for 24 megapixels where little is flagged.
#pragma once

#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "detect/grouping.h"
#include "detect/residue.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct Finding {
  int id = 0;  // 1.. in order of worth, stable for one survey
  Residue residue = Residue::unsure;
  std::vector<Polygon> regions_px;  // photo px, whole-pixel borders (edges at half px)
  cv::Rect box_px;
  cv::Point2d centre_px;  // centroid of its pixels
  long area_px = 0;
  double confidence = 0;  // calibrated share 0..1
  std::string
      reason;  // evidence in words: "teal, matt, on solder joints, 41 from the board's own green"
};

struct Place {
  int rank = 0;               // 1 = worst
  cv::Rect crop_px;           // inside the photo
  std::vector<int> findings;  // ids
  double worth = 0;           // why it stands where it stands; larger is worse
};

struct FindingOptions {
  double least_area_mm2 = 0.05;  // smaller ones are dropped (0.3 mm feature, about 0.25 mm across)
  long least_area_px = 4;
  double merge_mm = 0.8;             // speckles of one deposit closer than this are one finding
  double merge_of_diagonal = 0.004;  // the same without a scale: share of the board's diagonal
  double tie = 0.7;  // a second class with this much of the first one's votes makes it unsure
  int places_at_most = 12;

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

inline constexpr int k_findings_at_most = 65535;  // the worst ones; ids fit 16 bits

struct Findings {
  std::vector<Finding> findings;
  std::vector<Place> places;
  cv::Mat finding_of_px;  // CV_16UC1, size of the photo: finding id or 0; empty without findings
};

Findings findings_of(const Photo& photo, const Rectification& rectification, const ResidueMap& map,
                     const FindingOptions& options, const Work& work = {});

// The same, with findings that a person told apart or took together.
Findings findings_of(const Photo& photo, const Rectification& rectification, const ResidueMap& map,
                     const FindingOptions& options, const Grouping& grouping,
                     const Work& work = {});

}  // namespace verdigrid
