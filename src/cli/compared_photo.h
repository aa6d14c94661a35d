// The two photos of a comparison on the command line: photo files that are surveyed on the spot, or
// folders of surveys with their photos.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/detector_arguments.h"
#include "cli/photo_arguments.h"
#include "compare/warp.h"
#include "jobbook/job_book.h"
#include "measure/survey.h"
#include "photo/photo.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct ComparedPhotoArguments {
  PhotoArguments photo;  // how the photo before is straightened and scaled; both are decoded so
  DetectorArguments detector;
  SurveyOptions survey;
  std::filesystem::path before_photo, after_photo;  // of survey folders; empty: looked for
  const char* before_option = "--before-photo";     // what names before_photo on the command line

  void check() const;
};

// The ways to a scale, the detector and its setting.
void add_compared_photo_arguments(CLI::App& app, ComparedPhotoArguments& into);

struct SurveyedFile {
  Photo photo;
  Survey survey;
};

// `path`: a photo, or a survey folder. `photo_of_survey`: its photo; empty: looked for by its name
// in the folder, beside it and in the current folder. Throws Error{bad_input} when it is not found
// (`photo_option` is the option that names it) or is another file than the survey names.
std::optional<SurveyedFile> survey_of_folder(const std::filesystem::path& path,
                                             const std::filesystem::path& photo_of_survey,
                                             const char* photo_option, const DecodeOptions& decode);

// The photo of a job book with its newest survey; empty where it was never surveyed.
std::optional<SurveyedFile> survey_of_record(const JobBook& book, const std::string& photo,
                                             const DecodeOptions& decode);
Photo photo_of_record(const JobBook& book, const std::string& photo, const DecodeOptions& decode);

// The photo before, straightened by the arguments (`size_mm` stands in where no scale was given).
SurveyedFile surveyed_before(const ComparedPhotoArguments& arguments,
                             const std::filesystem::path& path,
                             const std::optional<cv::Size2d>& size_mm, RunDetector& detector,
                             const Work& work);

// The photo after, straightened by the photo before and surveyed. Throws Error{no_result} when the
// two cannot be aligned and no pairs are given.
SurveyedFile surveyed_after(const ComparedPhotoArguments& arguments,
                            const std::filesystem::path& path, const SurveyedFile& before,
                            const std::vector<PointPair>& pairs, RunDetector& detector,
                            const Work& work);

// The same for a photo that is read already.
SurveyedFile surveyed_against(const ComparedPhotoArguments& arguments, Photo photo,
                              const SurveyedFile& before, const std::vector<PointPair>& pairs,
                              RunDetector& detector, const Work& work);

}  // namespace verdigrid
