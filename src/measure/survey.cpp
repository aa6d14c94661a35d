#include "measure/survey.h"

#include "base/error.h"
#include "layout/layout.h"
#include "measure/source_reason.h"

namespace verdigrid {

namespace {

// Shares of the time, for progress only.
constexpr double k_check_done = 0.15, k_map_done = 0.8, k_findings_share = 0.75;

void check_fit(const Photo& photo, const Rectification& r) {
  if (photo.size_px() == r.photo_size_px) return;
  throw Error(ErrorKind::bad_input,
              photo.meta.name + ": the rectification was made for a photo of " +
                  std::to_string(r.photo_size_px.width) + "x" +
                  std::to_string(r.photo_size_px.height) + " px, this one has " +
                  std::to_string(photo.size_px().width) + "x" +
                  std::to_string(photo.size_px().height) +
                  " px. Straighten and scale this photo by itself.");
}

SurveyOptions filled_in(SurveyOptions options, const Rectification& r, const Detector& detector) {
  options.check.px_per_mm.reset();
  if (r.px_per_mm) options.check.px_per_mm = r.px_per_mm->value;
  options.check.tilt_deg = r.tilt_deg;
  options.check.board_px = r.outline_is_frame ? Polygon{} : r.outline_px;
  options.measure.label_error = detector_error_of(detector.id());
  return options;
}

// Findings, places and areas of the survey's own map; zones and parts with a layout.
void measure_map(const Photo& photo, Survey& s, const Grouping& grouping, const Layout* layout,
                 const Work& work) {
  const Rectification& r = s.rectification;
  s.findings =
      findings_of(photo, r, s.map, s.options.findings, grouping, work.part(0, k_findings_share));
  const MeasureInput input{s.map.labels, s.findings.finding_of_px, s.check.hidden,
                           s.check.hidden_scale, s.part_looks.bodies_px};
  const Work rest = work.part(k_findings_share, 1);
  if (layout) {
    s.zones = zone_table(input, r, *layout, s.options.measure, rest);
    s.layout = LayoutName{layout->board_type, layout->revision};
    s.sources = likely_sources(s.findings, r, *layout, s.options.sources);
    name_nearest_source(s.findings, s.sources);
    s.other_side = other_side_looks(s.findings, r, *layout, s.zones.grid);
  } else {
    s.zones = zone_table(input, r, s.options.measure, rest);
  }
  work.report(1);
}

Survey surveyed(const Photo& photo, const Rectification& rectification, const Layout* layout,
                const Detector& detector, const SurveyOptions& options, const Work& work) {
  check_fit(photo, rectification);
  Survey s;
  s.program_version = program_version();
  s.detector_id = detector.id();
  s.options = filled_in(options, rectification, detector);
  s.options.check_all();
  s.photo = photo.meta;
  s.photo_size_px = photo.size_px();
  s.rectification = rectification;
  s.check = photo_check(photo, s.options.check, work.part(0, k_check_done));
  s.map = detector.residue_map(photo, rectification, s.options.detector,
                               work.part(k_check_done, k_map_done));
  if (!layout) s.part_looks = part_looks(photo, rectification);
  measure_map(photo, s, {}, layout, work.part(k_map_done, 1));
  return s;
}

}  // namespace

void SurveyOptions::check_all() const {
  findings.check();
  check.check();
  measure.check();
  sources.check();
}

Survey survey_of(const Photo& photo, const Rectification& rectification, const Detector& detector,
                 const SurveyOptions& options, const Work& work) {
  return surveyed(photo, rectification, nullptr, detector, options, work);
}

Survey survey_of(const Photo& photo, const Rectification& rectification, const Layout& layout,
                 const Detector& detector, const SurveyOptions& options, const Work& work) {
  return surveyed(photo, rectification, &layout, detector, options, work);
}

ReviewedSurvey reviewed_survey(const Photo& photo, const Survey& survey, const LookBase& base,
                               const std::vector<Answer>& answers,
                               const std::vector<MapEdit>& edits, const Layout* layout,
                               const Work& work) {
  ReviewedSurvey result{look_after(base, answers), survey};
  result.look.places = undecided(std::move(result.look.places), edits);
  const bool is_reviewed = !answers.empty() || !edits.empty();
  if (!is_reviewed && !layout && !survey.layout) return result;
  work.check();
  Survey& s = result.survey;
  const Polygon board_px =
      s.rectification.outline_is_frame ? Polygon{} : s.rectification.outline_px;
  s.map = edited_map(answers.empty() ? survey.map : look_map(base, result.look), answers, edits,
                     board_px);
  if (is_reviewed)
    s.review = ReviewCounts{static_cast<int>(answers.size()), static_cast<int>(edits.size())};
  s.pictures.clear();
  s.layout.reset();
  s.sources.clear();
  s.other_side.clear();
  if (layout)
    s.part_looks = {};
  else if (survey.layout)
    s.part_looks = part_looks(photo, s.rectification);
  measure_map(photo, s, grouping_of(edits), layout, work);
  return result;
}

std::string program_version() { return VERDIGRID_VERSION; }

}  // namespace verdigrid
