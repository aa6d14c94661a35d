// A survey as the sections of a report: what was found, how the photo and its scale are, what was
// not seen, squares, zones and parts with intervals, findings with crops and reasons, cautions, and
// where all of it comes from.
//
// The bench version is complete, the owner version short and in plain words. Text is English,
// numbers never depend on the locale. May be called from any thread. Cost: about 1 s with a photo
// of 24 megapixels.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/work.h"
#include "measure/survey.h"
#include "photo/photo.h"
#include "report/document.h"

namespace verdigrid {

enum class ReportVersion { bench, owner };

struct ReportOptions {
  ReportVersion version = ReportVersion::bench;
  std::vector<std::string> sections;  // ids of those wanted, in the report's order; empty: all
  std::string heading;                // of the document; empty: from the photo's name

  // Throws Error{wrong_use} that names a section that no report has.
  void check() const;
};

// Every section id that survey_report can write, in order.
const std::vector<std::string>& report_section_ids();

// The sections that are wanted, in the document's order; unknown ids were refused by check().
void keep_sections(ReportDocument& document, const std::vector<std::string>& wanted);

// Without a photo the pictures are left out and that is said. `photo` must be the surveyed one
// (require: same size).
ReportDocument survey_report(const Survey& survey, const Photo* photo, const ReportOptions& options,
                             const Work& work = {});

// The same sections with `prefix` before each id, for reports over several photos.
std::vector<Section> survey_sections(const Survey& survey, const Photo* photo,
                                     ReportVersion version, const std::string& prefix,
                                     const Work& work = {});

// What anyone must know before touching the board; the last section of every report.
Section caution_section();

}  // namespace verdigrid
