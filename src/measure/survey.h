// A survey: one detection run on one photo, with everything needed to show it again bit for bit. A
// machine result, never edited.
#pragma once

#include <string>

#include "base/work.h"
#include "detect/detector.h"
#include "detect/findings.h"
#include "measure/zone_table.h"
#include "photo/check.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct SurveyOptions {
  DetectorOptions detector;
  FindingOptions findings;
  PhotoCheckOptions check;  // px_per_mm, tilt and board are filled in by survey_of
};

struct Survey {
  std::string program_version;
  std::string detector_id;
  SurveyOptions options;
  PhotoMeta photo;
  cv::Size photo_size_px;
  PhotoCheck check;
  Rectification rectification;
  ResidueMap map;
  Findings findings;
  ZoneTable zones;
  double unseen_percent = 0;  // of the board, by this photo: glare, blur, outside the frame

  bool nothing_found() const { return findings.findings.empty(); }
};

// check -> residue map -> findings and places -> zone table, with `rectification` given. Cost: see
// tests/bench/speed.
Survey survey_of(const Photo& photo, const Rectification& rectification, const Detector& detector,
                 const SurveyOptions& options, const Work& work = {});

}  // namespace verdigrid
