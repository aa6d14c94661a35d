#include "compare/comparison.h"

#include <fmt/format.h>

#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/change_list.h"
#include "compare/point_map.h"
#include "layout/layout.h"

namespace verdigrid {

namespace {

void check_fit(const SurveyedPhoto& s, const char* which) {
  if (s.photo.size_px() == s.survey.photo_size_px &&
      (s.photo.meta.sha256.empty() || s.survey.photo.sha256.empty() ||
       s.photo.meta.sha256 == s.survey.photo.sha256))
    return;
  throw Error(ErrorKind::bad_input,
              fmt::format("{}: the survey {} was made from another photo ({}); survey this one.",
                          s.photo.meta.name, which, s.survey.photo.name));
}

BoardPhoto board_photo(const SurveyedPhoto& s) {
  const Rectification& r = s.survey.rectification;
  return {s.photo.bgr, r.outline_is_frame ? Polygon{} : r.outline_px};
}

ComparedPhoto compared_photo(const SurveyedPhoto& s) {
  return {s.photo.meta.name, s.photo.meta.sha256, s.photo.size_px(),
          s.photo.meta.captured_at.value_or(""), s.survey.detector_id};
}

double px_per_mm_of(const Rectification& r) { return r.px_per_mm ? r.px_per_mm->value : 0; }

// Where either photo's labels lie, of the given size, a reduced one of the photo before.
cv::Mat residue_of(const SurveyedPhoto& before, const SurveyedPhoto& after,
                   const Alignment& alignment, cv::Size size) {
  cv::Mat here;
  cv::resize(before.survey.map.labels, here, size, 0, 0, cv::INTER_NEAREST);
  const cv::Mat there = seen_through(after.survey.map.labels, size, reduced_map(alignment, size),
                                     cv::INTER_NEAREST, cv::Scalar(0));
  return (there != 0) | (here != 0);
}

// Residue and what lies outside the board: no measure of the light.
cv::Mat left_out(const cv::Mat& residue, const Rectification& r, double scale) {
  if (r.outline_is_frame || r.outline_px.empty()) return residue;
  cv::Mat out(residue.size(), CV_8UC1, cv::Scalar(255));
  std::vector<cv::Point> ring;
  for (const cv::Point2d& p : r.outline_px.outer)
    ring.emplace_back(cvRound(p.x * scale), cvRound(p.y * scale));
  cv::fillPoly(out, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(0));
  return out | residue;
}

void say_what_matters(const SurveyedPhoto& before, const SurveyedPhoto& after, Comparison& c) {
  c.remarks = c.alignment.remarks;
  if (before.survey.detector_id != after.survey.detector_id)
    c.remarks.push_back(
        fmt::format("The two surveys were made by different detectors ({}, {}); survey both with "
                    "one of them before relying on small changes.",
                    before.survey.detector_id, after.survey.detector_id));
  if (before.survey.options.detector.setting != after.survey.options.detector.setting)
    c.remarks.emplace_back(
        "The two surveys were made at different settings; survey both at one setting.");
  if (c.options.verdict.after != Dryness::dry)
    c.remarks.emplace_back(
        "The photo after is not logged dry: white salts fade while wet and come back, so there is "
        "no verdict.");
}

Comparison compared(const SurveyedPhoto& before, const SurveyedPhoto& after, const Layout* layout,
                    const ComparisonOptions& options, const Work& work) {
  options.check();
  check_fit(before, "before");
  check_fit(after, "after");
  if (before.survey.rectification.side != after.survey.rectification.side)
    throw Error(ErrorKind::bad_input,
                fmt::format("{} shows the {}, {} shows the {}; compare photos of one side.",
                            before.photo.meta.name, name(before.survey.rectification.side),
                            after.photo.meta.name, name(after.survey.rectification.side)));
  Comparison c;
  c.program_version = program_version();
  c.before = compared_photo(before);
  c.after = compared_photo(after);
  c.options = options;
  c.rectification = before.survey.rectification;
  c.alignment = alignment_of(board_photo(before), c.rectification, board_photo(after),
                             options.alignment, work.part(0, 0.6));
  const double look_scale = look_scale_of(before.photo.size_px(), options.look);
  const cv::Mat residue = residue_of(
      before, after, c.alignment,
      {cvRound(before.photo.bgr.cols * look_scale), cvRound(before.photo.bgr.rows * look_scale)});
  const LookChange look = look_change(before.photo.bgr, after.photo.bgr, c.alignment,
                                      left_out(residue, c.rectification, look_scale), options.look,
                                      work.part(0.6, 0.7));
  c.harmony = look.harmony;
  work.report(0.7);
  const double px_per_mm = px_per_mm_of(c.rectification);
  c.part_changes = part_changes(look, c.alignment, c.rectification, layout, residue, px_per_mm,
                                options.parts, work.part(0.7, 0.8));
  const cv::Mat parts =
      c.part_changes.empty() ? cv::Mat() : picture_of(c.part_changes, before.photo.size_px());
  const ChangeMap map =
      change_map({before.survey.map, &before.survey.check}, {after.survey.map, &after.survey.check},
                 c.alignment, look, parts, px_per_mm, options.map, work.part(0.8, 0.9));
  c.classes = map.classes;
  const ChangeTableInput input{map,
                               c.rectification,
                               layout,
                               before.survey.options.measure,
                               after.survey.options.measure,
                               c.before.detector == c.after.detector};
  c.table = change_table(input, options.verdict, work.part(0.9, 0.97));
  if (layout) c.layout = LayoutName{layout->board_type, layout->revision};
  c.changes = change_list(before.survey, after.survey, c);
  say_what_matters(before, after, c);
  work.report(1);
  return c;
}

}  // namespace

void ComparisonOptions::check() const {
  alignment.check();
  look.check();
  map.check();
  parts.check();
  verdict.check();
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Comparison: {}.", what));
  };
  if (!(removed_share > 0 && removed_share <= 1))
    refuse("removed_share must be above 0 and at most 1");
  if (!(uncertain_share > 0 && uncertain_share <= 1))
    refuse("uncertain_share must be above 0 and at most 1");
  if (!(least_change_mm2 >= 0)) refuse("least_change_mm2 must be 0 or more");
  if (least_change_px < 1) refuse("least_change_px must be at least 1");
}

std::vector<std::string> reasons_not_aligned(const SurveyedPhoto& before,
                                             const SurveyedPhoto& after,
                                             const AlignmentOptions& options, const Work& work) {
  const Registration r =
      registered(board_photo(before), board_photo(after), options.registration, work);
  if (r.is_placed()) return {};
  std::vector<std::string> reasons = r.remarks;
  if (reasons.empty()) reasons.emplace_back(fmt::format("The two photos: {}.", name(r.match)));
  return reasons;
}

Comparison comparison_of(const SurveyedPhoto& before, const SurveyedPhoto& after,
                         const ComparisonOptions& options, const Work& work) {
  return compared(before, after, nullptr, options, work);
}

Comparison comparison_of(const SurveyedPhoto& before, const SurveyedPhoto& after,
                         const Layout& layout, const ComparisonOptions& options, const Work& work) {
  return compared(before, after, &layout, options, work);
}

}  // namespace verdigrid
