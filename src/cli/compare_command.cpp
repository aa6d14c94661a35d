// verdigrid compare BEFORE AFTER: what a wash removed, what stayed and what is new.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <optional>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/compared_photo.h"
#include "cli/job_book_place.h"
#include "cli/pairs_file.h"
#include "cli/plan_place.h"
#include "cli/progress_bar.h"
#include "compare/comparison_file.h"
#include "jobbook/side_pair.h"
#include "jobbook/survey_record.h"
#include "layout/layout_json.h"
#include "photo/encode.h"
#include "report/change_pictures.h"

namespace verdigrid {

namespace {

struct CompareArguments {
  ComparedPhotoArguments photos;
  std::filesystem::path before, after, layout, pairs, folder;
  std::filesystem::path book;  // set: `before` is a unit of it, and there is no `after`
  std::string board;           // of the unit; empty: its only one
  ComparisonOptions options;
};

void add_arguments(CLI::App& app, CompareArguments& into) {
  app.add_option("BEFORE", into.before,
                 "Photo before, or the folder of its survey (then its photo is looked for beside "
                 "the folder, or given with --before-photo), or a unit's id with --jobbook")
      ->required()
      ->type_name("");
  app.add_option("AFTER", into.after,
                 "Photo after, or the folder of its survey; none with --jobbook")
      ->type_name("");
  app.add_option("-o,--out", into.folder, "Folder for the results, new or of an older comparison")
      ->required()
      ->type_name("FOLDER");
  app.add_option("--before-photo", into.photos.before_photo,
                 "The photo that the survey folder BEFORE was made from")
      ->type_name("PHOTO");
  app.add_option("--after-photo", into.photos.after_photo,
                 "The photo that the survey folder AFTER was made from")
      ->type_name("PHOTO");
  app.add_flag_callback(
      "--after-dry", [&into] { into.options.verdict.after = Dryness::dry; },
      "The board was dry when the photo after was taken, and that is logged; without it there is "
      "no verdict");
  app.add_option("--pairs", into.pairs,
                 "File with three or four places of the board in both photos, one a line: BX,BY "
                 "AX,AY; the way out when the photos are not aligned by themselves")
      ->type_name("FILE");
  app.add_option("--layout", into.layout,
                 "Layout file in the frame of the photo before: change by zone and part")
      ->type_name("FILE");
  app.add_option("--jobbook", into.book,
                 "Job book that holds the unit: its newest photo after the wash is compared with "
                 "the arrival photo, a later look with the hand-over photo")
      ->type_name("FOLDER")
      ->group("Job book");
  app.add_option("--board", into.board, "Name of the unit's board, where it has several")
      ->type_name("NAME")
      ->group("Job book");
  add_compared_photo_arguments(app, into.photos);
}

void check_inputs(const CompareArguments& a) {
  if (a.book.empty() && a.after.empty())
    throw Error(ErrorKind::wrong_use,
                "AFTER is missing: name the photo after, or a unit with --jobbook.");
  if (!a.book.empty() && !a.after.empty())
    throw Error(ErrorKind::wrong_use,
                "With --jobbook the unit's own photos are compared; leave AFTER out.");
  if (a.book.empty() && !a.board.empty())
    throw Error(ErrorKind::wrong_use, "--board says where in a job book; name it with --jobbook.");
}

struct Compared {
  SurveyedFile before, after;
  Comparison comparison;
  std::string new_survey_of;  // photo record of the job book; empty: no survey was made for it
};

// The two photos of a unit by their roles, with their newest surveys; a photo after that was never
// surveyed is surveyed now, straightened by the one before.
void read_from_book(const CompareArguments& a, const std::vector<PointPair>& pairs,
                    RunDetector& detector, const Work& work, Compared& out) {
  const JobBook book = opened_job_book(a.book, {}, Open::existing);
  PlanPlace place;
  place.target = a.before.string();
  place.board = a.board;
  const SidePair pair = side_pair(book, board_of(book, place), a.photos.photo.rectify.side);
  auto before = survey_of_record(book, pair.before, a.photos.photo.decode);
  if (!before)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: the photo before was never surveyed. Survey it first: verdigrid "
                            "survey PHOTO --jobbook {} --unit {}.",
                            pair.before, a.book.string(), place.target));
  out.before = std::move(*before);
  work.report(0.4);
  if (auto after = survey_of_record(book, pair.after, a.photos.photo.decode)) {
    out.after = std::move(*after);
    return;
  }
  out.after = surveyed_against(a.photos, photo_of_record(book, pair.after, a.photos.photo.decode),
                               out.before, pairs, detector, work.part(0.4, 1));
  out.new_survey_of = pair.after;
}

// So that the next comparison and the report find it. Once the photos were aligned, not before: a
// survey that was straightened by the wrong place helps nobody.
void keep_new_survey(const CompareArguments& a, const Compared& c, Session& session) {
  if (c.new_survey_of.empty()) return;
  JobBook book = opened_job_book(a.book, {}, Open::existing);
  session.messages << fmt::format("The new survey of {} is kept in the job book as {}.\n",
                                  c.after.photo.meta.name,
                                  keep_survey(book, c.new_survey_of, c.after.survey));
}

Compared compared(const CompareArguments& a, Session& session) {
  ProgressBar bar(session, "Comparing " + a.after.filename().string() + " with " +
                               a.before.filename().string());
  const Work work = bar.work();
  Compared out;
  std::optional<Layout> layout;
  if (!a.layout.empty()) layout = load_layout(a.layout);
  std::optional<cv::Size2d> size_mm;
  if (layout && layout->has_mm && !layout->outline.empty())
    size_mm = bounding_box(layout->outline.outer).size();
  std::vector<PointPair> pairs;
  if (!a.pairs.empty()) pairs = load_pairs(a.pairs);
  RunDetector detector(a.photos.detector, session);
  if (a.book.empty()) {
    out.before = surveyed_before(a.photos, a.before, size_mm, detector, work.part(0, 0.3));
    out.after = surveyed_after(a.photos, a.after, out.before, pairs, detector, work.part(0.3, 0.6));
  } else {
    read_from_book(a, pairs, detector, work.part(0, 0.6), out);
  }
  ComparisonOptions options = a.options;
  options.alignment.by_hand = pairs;
  const SurveyedPhoto before{out.before.photo, out.before.survey},
      after{out.after.photo, out.after.survey};
  out.comparison = layout ? comparison_of(before, after, *layout, options, work.part(0.6, 1))
                          : comparison_of(before, after, options, work.part(0.6, 1));
  return out;
}

void write_folder(NewFolder& folder, const Compared& c, Session& session) {
  ProgressBar bar(session, "Writing");
  const Work work = bar.work();
  std::vector<NamedBytes> pictures;
  pictures.push_back(
      {"overlay.jpg", jpeg_bytes(change_overlay(c.before.photo, c.after.photo, c.comparison, {},
                                                work.part(0, 0.4)))});
  pictures.push_back(
      {"side-by-side.jpg", jpeg_bytes(side_by_side(c.before.photo, c.after.photo, c.comparison, {},
                                                   work.part(0.4, 0.8)))});
  work.check();
  write_comparison(folder.path(), comparison_files(c.comparison, std::move(pictures)));
  work.check();
  folder.commit();
}

int run_compare(const CompareArguments& a, Session& session) {
  check_inputs(a);
  a.options.check();
  a.photos.check();
  NewFolder folder(a.folder, comparison_file_names());
  const Compared c = compared(a, session);
  write_folder(folder, c, session);
  keep_new_survey(a, c, session);
  for (const std::string& remark : c.comparison.remarks) session.messages << remark << '\n';
  for (const std::string& line : summary_lines(c.comparison)) session.out << line << '\n';
  session.messages << "Written to " << a.folder.string() << "; start with overlay.jpg.\n";
  return 0;
}

}  // namespace

CommandRun compare_command(CLI::App& app) {
  const auto values = std::make_shared<CompareArguments>();
  add_arguments(app, *values);
  return [values](Session& session) { return run_compare(*values, session); };
}

}  // namespace verdigrid
