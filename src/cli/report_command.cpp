// verdigrid report FOLDER|UNIT: the document of a survey or of a unit, as HTML or PDF.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/new_file.h"
#include "cli/progress_bar.h"
#include "measure/survey_file.h"
#include "photo/decode.h"
#include "report/document_html.h"
#include "report/document_pdf.h"
#include "report/unit_report.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

struct ReportArguments {
  std::string source;  // folder of a survey, or a unit's id
  fs::path book, photo;
  NewFile out;
  ReportOptions options;
  bool with_owner = false;
};

// The surveyed photo: the one given, else a file of its name beside the folder or where we stand.
std::optional<Photo> photo_of(const ReportArguments& a, const Survey& survey) {
  const DecodeOptions decode;
  if (!a.photo.empty()) {
    const Photo photo = load_photo(a.photo, decode);
    if (photo.meta.sha256 != survey.photo.sha256)
      throw Error(ErrorKind::bad_input, a.photo.string() +
                                            ": is not the photo that was surveyed (" +
                                            survey.photo.name + "). Name that one.");
    return photo;
  }
  for (const fs::path& folder : {fs::absolute(a.source).parent_path(), fs::current_path()}) {
    const fs::path path = folder / survey.photo.name;
    std::error_code code;
    if (!fs::is_regular_file(path, code)) continue;
    if (sha256_hex(read_file(path, decode.file_limit_bytes)) == survey.photo.sha256)
      return load_photo(path, decode);
  }
  return std::nullopt;
}

ReportDocument document_for(const ReportArguments& a, Session& s) {
  ProgressBar bar(s, "Writing the report");
  if (!a.book.empty())
    return unit_report(opened_job_book(a.book, {}, Open::read_only), a.source, a.options,
                       a.with_owner ? OwnerName::include : OwnerName::leave_out, bar.work());
  const Survey survey = load_survey(fs::path(a.source));
  const std::optional<Photo> photo = photo_of(a, survey);
  if (!photo)
    s.messages << "The photo " << survey.photo.name
               << " was not found beside the survey, so the report has no pictures; --photo FILE "
                  "names it.\n";
  return survey_report(survey, photo ? &*photo : nullptr, a.options, bar.work());
}

int run_report(const ReportArguments& a, Session& s) {
  a.options.check();
  const bool is_pdf = a.out.path.extension() == ".pdf";
  a.out.check(is_pdf ? ".pdf" : ".html");
  if (a.with_owner && a.book.empty())
    throw Error(ErrorKind::wrong_use,
                "--with-owner belongs to the report of a unit; name the job book with --jobbook.");
  const ReportDocument document = document_for(a, s);
  if (is_pdf)
    write_file(a.out.path, document_pdf(document));
  else
    write_file(a.out.path, document_html(document));
  s.messages << "Written to " << a.out.path.string() << ".\n";
  return 0;
}

}  // namespace

CommandRun report_command(CLI::App& arguments) {
  const auto values = std::make_shared<ReportArguments>();
  arguments
      .add_option("SOURCE", values->source, "Folder of a survey; with --jobbook: id of a unit")
      ->required()
      ->type_name("");
  arguments.add_option("--jobbook", values->book, "Job book that holds the unit")
      ->type_name("JOBBOOK");
  arguments
      .add_option("--photo", values->photo,
                  "The surveyed photo, when it does not lie beside the survey")
      ->type_name("FILE");
  arguments
      .add_option_function<std::string>(
          "--for",
          [values](const std::string& who) {
            values->options.version = who == "owner" ? ReportVersion::owner : ReportVersion::bench;
          },
          "bench: complete (default); owner: short, in plain words")
      ->check(CLI::IsMember({"bench", "owner"}))
      ->type_name("WHO");
  arguments
      .add_option("--sections", values->options.sections,
                  "Only these: unit, found, photo, unseen, zones, findings, plan, lock, tests, "
                  "changes, cautions, origin")
      ->delimiter(',')
      ->type_name("SECTION,...");
  arguments.add_option("--heading", values->options.heading, "Heading of the document")
      ->type_name("TEXT");
  arguments.add_flag("--with-owner", values->with_owner, "Name the owner in a unit's report");
  add_new_file_argument(arguments, values->out, "Report to write, ending in .html or .pdf");
  return [values](Session& session) { return run_report(*values, session); };
}

}  // namespace verdigrid
