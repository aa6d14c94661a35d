// verdigrid survey PHOTO: from a photo file to a measured survey.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/detector_arguments.h"
#include "cli/job_book_place.h"
#include "cli/layout_use.h"
#include "cli/photo_arguments.h"
#include "cli/progress_bar.h"
#include "cli/survey_folder.h"
#include "cli/values.h"
#include "detect/review.h"
#include "layout/layout_json.h"
#include "measure/summary.h"
#include "measure/survey.h"
#include "measure/survey_file.h"

namespace verdigrid {

namespace {

struct SurveyArguments {
  PhotoArguments photo;
  SurveyOptions options;
  DetectorArguments detector;
  std::filesystem::path folder;  // empty: nothing is written
  bool prints_json = false;
  JobBookPlace keep;
  LayoutUse layout;
  std::filesystem::path review;  // empty: none
};

void add_survey_arguments(CLI::App& arguments, SurveyArguments& into) {
  add_photo_argument(arguments, into.photo);
  arguments
      .add_option("-o,--out", into.folder, "Folder for the results, new or of an older survey")
      ->type_name("FOLDER");
  arguments.add_flag("--json", into.prints_json, "Print survey.json, and no summary");
  arguments.add_option("--jobbook", into.keep.book, "Keep photo and survey in this job book")
      ->type_name("JOBBOOK");
  arguments.add_option("--unit", into.keep.unit, "The unit that the photo belongs to")
      ->type_name("UNIT");
  arguments.add_option("--board", into.keep.board, "Its board, by name (default \"board 1\")")
      ->type_name("NAME");
  add_setting_argument(arguments, into.options.detector.setting);
  arguments
      .add_option_function<std::string>(
          "--feature-mm",
          [&into](const std::string& text) {
            into.options.check.feature_mm = number_from("--feature-mm", text);
          },
          "Smallest thing that the photo must show (default 0.3)")
      ->type_name("MM");
  arguments
      .add_option("--review,--answers", into.review,
                  "Take in what people answered and changed at the window (review.json)")
      ->type_name("FILE");
  add_layout_use(arguments, into.layout);
  arguments
      .add_option("--looked-under", into.options.measure.peeked,
                  "Parts of the layout that were lifted or looked under: not unseen any more")
      ->delimiter(',')
      ->type_name("PART,...")
      ->group("Layout of the board type");
  add_detector_arguments(arguments, into.detector);
  add_scale_arguments(arguments, into.photo);
}

void require_known_parts(const Layout& layout, const std::vector<std::string>& designators) {
  for (const std::string& name : designators)
    if (std::none_of(layout.parts.begin(), layout.parts.end(),
                     [&](const Part& part) { return part.designator == name; }))
      throw Error(ErrorKind::wrong_use, "--looked-under: the layout has no part " + name +
                                            "; 'verdigrid layout check' lists what it holds.");
}

struct Surveyed {
  Photo photo;
  Survey survey;
};

void take_in(const std::filesystem::path& file, const Layout* layout, Surveyed& s,
             const Work& work) {
  const Review review = load_review(file);
  check_fits(review, s.photo, file.filename().string());
  const LookBase base = look_base(s.photo, s.survey.rectification, s.survey.map, work);
  s.survey =
      reviewed_survey(s.photo, s.survey, base, review.plain_answers(), review.edits, layout, work)
          .survey;
}

Surveyed surveyed(const SurveyArguments& arguments, const Detector& detector, Session& session) {
  ProgressBar bar(session, "Surveying " + arguments.photo.path.filename().string());
  const Work work = bar.work();
  Surveyed s;
  s.photo = load_photo(arguments.photo.path, arguments.photo.decode);
  work.report(0.15);
  work.check();
  std::optional<Layout> layout;
  if (arguments.layout.layout.empty()) {
    const Rectification r = rectification_by(arguments.photo, s.photo, work.part(0.15, 0.4));
    s.survey = survey_of(s.photo, r, detector, arguments.options, work.part(0.4, 0.9));
  } else {
    layout = load_layout(arguments.layout.layout);
    require_known_parts(*layout, arguments.options.measure.peeked);
    const Rectification r = rectification_with(arguments.layout, *layout, arguments.photo, s.photo,
                                               work.part(0.15, 0.4));
    s.survey = survey_of(s.photo, r, *layout, detector, arguments.options, work.part(0.4, 0.9));
  }
  if (!arguments.review.empty()) take_in(arguments.review, layout ? &*layout : nullptr, s, work);
  return s;
}

int run_survey(const SurveyArguments& arguments, Session& session) {
  arguments.photo.decode.check();
  arguments.photo.rectify.check();
  arguments.options.check_all();
  arguments.keep.check();
  if (!arguments.options.measure.peeked.empty() && arguments.layout.layout.empty())
    throw Error(ErrorKind::wrong_use, "--looked-under names parts of a layout; give --layout too.");
  std::optional<NewFolder> folder;  // first, so that a place that cannot be written is said at once
  if (!arguments.folder.empty()) folder.emplace(arguments.folder, survey_file_names());
  const ChosenDetector chosen = detector_by(arguments.detector);
  const Surveyed s = surveyed(arguments, *chosen.detector, session);
  if (!chosen.remark.empty()) session.messages << chosen.remark << '\n';
  std::string json, kept;
  if (!arguments.keep.book.empty())
    kept = keep_in_job_book(arguments.keep, arguments.photo.path, s.survey);
  if (folder) {
    ProgressBar bar(session, "Writing");
    json = write_survey_folder(*folder, s.photo, s.survey, bar.work());
  }
  if (arguments.prints_json) {
    session.out << (folder ? json : survey_files(s.survey).json);
    return 0;
  }
  for (const std::string& line : summary_lines(s.survey)) session.out << line << '\n';
  if (!kept.empty()) session.messages << "Kept in the job book as " << kept << ".\n";
  if (folder)
    session.messages << "Written to " << arguments.folder.string() << "; start with overlay.jpg.\n";
  else if (kept.empty())
    session.messages << "Nothing was written; -o FOLDER keeps the pictures and tables.\n";
  return 0;
}

}  // namespace

CommandRun survey_command(CLI::App& arguments) {
  const auto values = std::make_shared<SurveyArguments>();
  add_survey_arguments(arguments, *values);
  return [values](Session& session) { return run_survey(*values, session); };
}

}  // namespace verdigrid
