// verdigrid close-up PHOTO CLOSE-UP: where a close-up lies on the photo of its side, and what it
// makes of the findings there.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/compared_photo.h"
#include "cli/job_book_place.h"
#include "cli/pairs_file.h"
#include "cli/progress_bar.h"
#include "cli/survey_folder.h"
#include "compare/close_up_survey.h"
#include "jobbook/close_up_record.h"
#include "measure/survey_file.h"
#include "photo/encode.h"
#include "rectify/rectification_file.h"
#include "report/close_up_picture.h"

namespace verdigrid {

namespace {

constexpr const char* k_json = "close-up.json";
constexpr const char* k_picture = "close-up.jpg";
constexpr const char* k_rectification = "close-up.rectification.json";

struct CloseUpArguments {
  ComparedPhotoArguments photos;
  std::filesystem::path photo, close_up, pairs, folder;
  JobBookPlace keep;
  CloseUpOptions options;
};

struct PlacedPhotos {
  SurveyedFile photo, close_up;
  PlacedCloseUp placed;
};

std::string sentence(const std::vector<std::string>& remarks) {
  std::string all;
  for (const std::string& remark : remarks) all += " " + remark;
  return all;
}

CloseUpAnswer answer_for(const CloseUpArguments& a, const Photo& photo, const Photo& close_up,
                         const Work& work) {
  const CloseUpAnswer answer =
      a.pairs.empty()
          ? placed_close_up(photo.bgr, close_up.bgr, a.options, work)
          : close_up_placed_by_hand(photo.bgr, close_up.bgr, load_pairs(a.pairs), a.options, work);
  if (!answer.place)
    throw Error(ErrorKind::no_result,
                fmt::format("{} was not placed on {}.{} --pairs FILE takes lines of PX,PY CX,CY: "
                            "the same place in the photo and in the close-up.",
                            close_up.meta.name, photo.meta.name, sentence(answer.remarks)));
  return answer;
}

PlacedPhotos placed(const CloseUpArguments& a, Session& session) {
  ProgressBar bar(session, "Placing " + a.close_up.filename().string());
  const Work work = bar.work();
  PlacedPhotos out;
  RunDetector detector(a.photos.detector, session);
  out.photo = surveyed_before(a.photos, a.photo, {}, detector, work.part(0, 0.3));
  out.close_up.photo = load_photo(a.close_up, a.photos.photo.decode);
  const CloseUpAnswer answer =
      answer_for(a, out.photo.photo, out.close_up.photo, work.part(0.3, 0.7));
  SurveyedCloseUp surveyed =
      surveyed_close_up({out.photo.photo, out.photo.survey}, out.close_up.photo, answer,
                        detector.get(), a.photos.survey, work.part(0.7, 1));
  out.close_up.survey = std::move(surveyed.survey);
  out.placed = std::move(surveyed.placed);
  return out;
}

void write_folder(NewFolder& folder, const PlacedPhotos& p, Session& session) {
  ProgressBar bar(session, "Writing");
  const Survey& survey = p.close_up.survey;
  write_file(folder.path() / k_picture,
             jpeg_bytes(close_up_picture(p.photo.photo, p.photo.survey.rectification.turn_deg,
                                         p.close_up.photo, survey, p.placed)));
  save_rectification(folder.path() / k_rectification, survey.rectification);
  write_file(folder.path() / k_json, close_up_json(p.placed));
  write_survey_folder(folder, p.close_up.photo, survey, bar.work());
}

std::string kept(const CloseUpArguments& a, const PlacedPhotos& p) {
  JobBook book = opened_job_book(a.keep.book, {}, Open::existing);
  // The photo of the side by its own file, also where its survey folder was named.
  if (std::filesystem::is_regular_file(a.photo))
    keep_in_job_book(book, a.keep, a.photo, p.photo.survey);
  const std::string photo = keep_photo(book, a.keep, a.close_up, p.close_up.survey, "close-up");
  return keep_placed_close_up(book, photo, p.placed, p.close_up.survey);
}

int run_close_up(const CloseUpArguments& a, Session& session) {
  a.photos.check();
  a.options.check();
  a.keep.check();
  std::vector<std::string> names = survey_file_names();
  names.insert(names.end(), {k_json, k_picture, k_rectification});
  NewFolder folder(a.folder, names);
  const PlacedPhotos p = placed(a, session);
  std::string record;
  if (!a.keep.book.empty()) record = kept(a, p);
  write_folder(folder, p, session);
  const CloseUpPlace& place = p.placed.place;
  const std::string range =
      place.scale_range
          ? fmt::format(" ({:.1f} to {:.1f})", place.scale_range->low, place.scale_range->high)
          : "";
  session.out << fmt::format("{}: placed on {}, {:.1f} times as fine{}, {:.0f} % of it agrees\n",
                             p.placed.close_up.name, p.placed.photo.name, place.scale, range,
                             100 * place.agreeing_share);
  for (const std::string& line : finer_lines(p.placed.findings, p.placed.has_mm))
    session.out << line << '\n';
  if (p.placed.findings.empty())
    session.out << "Nothing flagged in what the close-up shows; not a clearance\n";
  for (const std::string& remark : p.placed.remarks) session.messages << remark << '\n';
  if (!record.empty()) session.messages << "Kept in the job book as " << record << ".\n";
  session.messages << "Written to " << a.folder.string() << "; start with close-up.jpg.\n";
  return 0;
}

}  // namespace

CommandRun close_up_command(CLI::App& app) {
  const auto values = std::make_shared<CloseUpArguments>();
  values->photos.before_option = "--photo";
  app.add_option("PHOTO", values->photo,
                 "Photo of the side, or the folder of its survey (then its photo is looked for "
                 "beside the folder, or given with --photo)")
      ->required()
      ->type_name("");
  app.add_option("CLOSE-UP", values->close_up, "The close-up, of any scale and turn")
      ->required()
      ->type_name("");
  app.add_option("-o,--out", values->folder,
                 "Folder for the close-up in its place and its own survey, new or of an older "
                 "close-up")
      ->required()
      ->type_name("FOLDER");
  app.add_option("--photo", values->photos.before_photo,
                 "The photo that the survey folder PHOTO was made from")
      ->type_name("PHOTO");
  app.add_option("--pairs", values->pairs,
                 "File with three or four places of the photo and the close-up, one a line: PX,PY "
                 "CX,CY; the way out when the close-up is not placed by itself")
      ->type_name("FILE");
  app.add_option("--jobbook", values->keep.book, "Keep both in this job book")
      ->type_name("FOLDER")
      ->group("Job book");
  app.add_option("--unit", values->keep.unit, "Unit that they belong to")
      ->type_name("ID")
      ->group("Job book");
  app.add_option("--board", values->keep.board, "Board of the unit, by name; made when it is new")
      ->type_name("NAME")
      ->group("Job book");
  add_compared_photo_arguments(app, values->photos);
  return [values](Session& session) { return run_close_up(*values, session); };
}

}  // namespace verdigrid
