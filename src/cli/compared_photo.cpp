#include "cli/compared_photo.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "compare/place_layout.h"
#include "jobbook/entities.h"
#include "jobbook/survey_record.h"
#include "measure/survey_file.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr const char* k_survey = "survey.json";

fs::path photo_beside(const fs::path& folder, const std::string& name, const char* option) {
  for (const fs::path& place : {folder / name, folder.parent_path() / name, fs::path(name)})
    if (fs::is_regular_file(place)) return place;
  throw Error(
      ErrorKind::bad_input,
      fmt::format("{}: the photo of this survey, {}, lies neither in it nor beside it; name "
                  "it with {}.",
                  folder.string(), name, option));
}

}  // namespace

void ComparedPhotoArguments::check() const {
  photo.decode.check();
  photo.rectify.check();
  survey.check_all();
}

void add_compared_photo_arguments(CLI::App& app, ComparedPhotoArguments& into) {
  add_setting_argument(app, into.survey.detector.setting);
  add_detector_arguments(app, into.detector);
  add_scale_arguments(app, into.photo);
}

std::optional<SurveyedFile> survey_of_folder(const fs::path& path, const fs::path& photo_of_survey,
                                             const char* photo_option,
                                             const DecodeOptions& decode) {
  const bool is_json = path.filename() == k_survey;
  if (!is_json && !fs::is_directory(path)) return std::nullopt;
  const fs::path folder = is_json ? path.parent_path() : path;
  SurveyedFile out;
  out.survey = load_survey(folder / k_survey);
  const fs::path whole = fs::absolute(folder).lexically_normal();
  const fs::path photo = photo_of_survey.empty()
                             ? photo_beside(whole.has_filename() ? whole : whole.parent_path(),
                                            out.survey.photo.name, photo_option)
                             : photo_of_survey;
  out.photo = load_photo(photo, decode);
  if (out.photo.meta.sha256 != out.survey.photo.sha256)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: it is not the photo that the survey in {} was made from ({}).",
                            photo.string(), folder.string(), out.survey.photo.name));
  return out;
}

Photo photo_of_record(const JobBook& book, const std::string& photo, const DecodeOptions& decode) {
  const KeptPhoto kept = kept_photo_from(book.get(photo).body);
  return decode_photo(book.file(kept.sha256), kept.name, decode);
}

std::optional<SurveyedFile> survey_of_record(const JobBook& book, const std::string& photo,
                                             const DecodeOptions& decode) {
  const auto surveys = book.children(photo, "survey");
  if (surveys.empty()) return std::nullopt;
  return SurveyedFile{photo_of_record(book, photo, decode), kept_survey(book, surveys.back().id)};
}

SurveyedFile surveyed_before(const ComparedPhotoArguments& a, const fs::path& path,
                             const std::optional<cv::Size2d>& size_mm, RunDetector& detector,
                             const Work& work) {
  if (auto kept = survey_of_folder(path, a.before_photo, a.before_option, a.photo.decode))
    return std::move(*kept);
  SurveyedFile out;
  out.photo = load_photo(path, a.photo.decode);
  PhotoArguments scale = a.photo;
  if (size_mm && scale.rectification_file.empty() && !scale.rectify.board_mm &&
      !scale.rectify.card && !scale.rectify.distance_mm)
    scale.rectify.board_mm = size_mm;
  const Rectification r = rectification_by(scale, out.photo, work.part(0, 0.4));
  out.survey = survey_of(out.photo, r, detector.get(), a.survey, work.part(0.4, 1));
  return out;
}

SurveyedFile surveyed_after(const ComparedPhotoArguments& a, const fs::path& path,
                            const SurveyedFile& before, const std::vector<PointPair>& pairs,
                            RunDetector& detector, const Work& work) {
  if (auto kept = survey_of_folder(path, a.after_photo, "--after-photo", a.photo.decode))
    return std::move(*kept);
  return surveyed_against(a, load_photo(path, a.photo.decode), before, pairs, detector, work);
}

SurveyedFile surveyed_against(const ComparedPhotoArguments& a, Photo photo,
                              const SurveyedFile& before, const std::vector<PointPair>& pairs,
                              RunDetector& detector, const Work& work) {
  SurveyedFile out;
  out.photo = std::move(photo);
  work.report(0.1);
  const Rectification& r = before.survey.rectification;
  const OutlineAnswer outline = find_outline(out.photo, {}, work.part(0.1, 0.2));
  const BoardPhoto from{before.photo.bgr, r.outline_is_frame ? Polygon{} : r.outline_px};
  const BoardPhoto to{out.photo.bgr, outline.outline ? outline.outline->px : Polygon{}};
  const Layout frame = layout_over(r.outline_board, r.has_scale());
  const PlacedLayout placed =
      pairs.empty() ? place_layout(frame, from, r, to, {}, work.part(0.2, 0.6))
                    : place_layout_by_hand(frame, from, r, to, pairs, {}, work.part(0.2, 0.6));
  if (!placed.rectification) {
    std::string why;
    for (const std::string& remark : placed.remarks) why += " " + remark;
    throw Error(ErrorKind::no_result,
                fmt::format("{} was not aligned with {} ({}).{} If both do show the same side of "
                            "one board, set three or four places by hand: --pairs FILE.",
                            out.photo.meta.name, before.photo.meta.name,
                            name(placed.registration.match), why));
  }
  Rectification straight = *placed.rectification;
  straight.outline_is_frame = r.outline_is_frame;
  out.survey = survey_of(out.photo, straight, detector.get(), a.survey, work.part(0.6, 1));
  return out;
}

}  // namespace verdigrid
