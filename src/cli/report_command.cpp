// verdigrid report FOLDER|UNIT: the document of a survey or of a unit, as HTML or PDF.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/named_photo.h"
#include "cli/paper_file.h"
#include "cli/progress_bar.h"
#include "compare/comparison_file.h"
#include "measure/survey_file.h"
#include "photo/decode.h"
#include "report/change_section.h"
#include "report/unit_report.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr const char* k_comparison = "compare.json";

struct ReportArguments {
  std::string source;  // folder of a survey or of a comparison, or a unit's id
  fs::path book, photo, compared, before_photo, after_photo;
  PaperFile paper;
  ReportOptions options;
  bool with_owner = false;
};

struct ComparedFolder {
  Comparison comparison;
  Photo before, after;
};

ComparedFolder compared_folder(const ReportArguments& a, const fs::path& folder) {
  ComparedFolder c{load_comparison(folder), {}, {}};
  const auto found = [&](const ComparedPhoto& kept, const fs::path& given, const char* option) {
    auto photo = photo_named(kept.name, kept.sha256, given, folder);
    if (!photo)
      throw Error(ErrorKind::bad_input, folder.string() + ": the photo " + kept.name +
                                            " was not found beside it; name it with " + option +
                                            ".");
    return std::move(*photo);
  };
  c.before = found(c.comparison.before, a.before_photo, "--before-photo");
  c.after = found(c.comparison.after, a.after_photo, "--after-photo");
  return c;
}

ReportDocument survey_document(const ReportArguments& a, Session& s, const Work& work) {
  const Survey survey = load_survey(fs::path(a.source));
  const std::optional<Photo> photo =
      photo_named(survey.photo.name, survey.photo.sha256, a.photo, a.source);
  if (!photo)
    s.messages << "The photo " << survey.photo.name
               << " was not found beside the survey, so the report has no pictures; --photo FILE "
                  "names it.\n";
  ReportOptions all = a.options;
  all.sections.clear();
  ReportDocument d = survey_report(survey, photo ? &*photo : nullptr, all, work.part(0, 0.5));
  if (!a.compared.empty()) {
    const ComparedFolder c = compared_folder(a, a.compared);
    // Before the cautions and where it comes from.
    d.sections.insert(
        d.sections.end() - 2,
        change_section(c.comparison, c.before, c.after, a.options.version, "", work.part(0.5, 1)));
  }
  keep_sections(d, a.options.sections);
  return d;
}

ReportDocument document_for(const ReportArguments& a, Session& s) {
  ProgressBar bar(s, "Writing the report");
  if (!a.book.empty())
    return unit_report(opened_job_book(a.book, {}, Open::read_only), a.source, a.options,
                       a.with_owner ? OwnerName::include : OwnerName::leave_out, bar.work());
  if (!fs::exists(fs::path(a.source) / k_comparison)) return survey_document(a, s, bar.work());
  const ComparedFolder c = compared_folder(a, a.source);
  return change_report(c.comparison, c.before, c.after, a.options, bar.work());
}

int run_report(const ReportArguments& a, Session& s) {
  a.options.check();
  a.paper.check();
  if (a.with_owner && a.book.empty())
    throw Error(ErrorKind::wrong_use,
                "--with-owner belongs to the report of a unit; name the job book with --jobbook.");
  if (!a.compared.empty() && !a.book.empty())
    throw Error(ErrorKind::wrong_use,
                "--compared belongs to the report of a survey's folder; a unit's report finds its "
                "comparisons by itself.");
  a.paper.write(document_for(a, s), s);
  return 0;
}

}  // namespace

CommandRun report_command(CLI::App& arguments) {
  const auto values = std::make_shared<ReportArguments>();
  arguments
      .add_option("SOURCE", values->source,
                  "Folder of a survey or of a comparison; with --jobbook: id of a unit")
      ->required()
      ->type_name("");
  arguments.add_option("--jobbook", values->book, "Job book that holds the unit")
      ->type_name("JOBBOOK");
  arguments
      .add_option("--photo", values->photo,
                  "The surveyed photo, when it does not lie beside the survey")
      ->type_name("FILE");
  arguments
      .add_option("--compared", values->compared,
                  "Folder of a comparison to show in the report of a survey")
      ->type_name("FOLDER");
  arguments
      .add_option("--before-photo", values->before_photo,
                  "The photo before, when it does not lie beside the comparison")
      ->type_name("FILE");
  arguments
      .add_option("--after-photo", values->after_photo,
                  "The photo after, when it does not lie beside the comparison")
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
                  "changes, areas, time-line, cautions, origin")
      ->delimiter(',')
      ->type_name("SECTION,...");
  arguments.add_option("--heading", values->options.heading, "Heading of the document")
      ->type_name("TEXT");
  arguments.add_flag("--with-owner", values->with_owner, "Name the owner in a unit's report");
  add_paper_file(arguments, values->paper, "Report to write", true);
  return [values](Session& session) { return run_report(*values, session); };
}

}  // namespace verdigrid
