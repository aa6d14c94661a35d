// verdigrid export: the findings of a survey for other programs.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/files.h"
#include "cli/command.h"
#include "cli/new_file.h"
#include "measure/survey_file.h"
#include "report/exchange_json.h"

namespace verdigrid {

namespace {

struct ExportArguments {
  std::filesystem::path survey;
  std::string as = "coco";
  NewFile out;
};

int run_export(const ExportArguments& a, Session& s) {
  a.out.check(".json");
  const Survey survey = load_survey(a.survey);
  write_file(a.out.path, a.as == "coco" ? coco_json(survey) : polygons_json(survey));
  s.messages << survey.findings.findings.size() << " findings written to " << a.out.path.string()
             << ".\n";
  return 0;
}

}  // namespace

CommandRun export_command(CLI::App& arguments) {
  const auto a = std::make_shared<ExportArguments>();
  arguments.add_option("SURVEY", a->survey, "Folder of a survey")->required()->type_name("");
  arguments
      .add_option("--as", a->as,
                  "coco: COCO instance segmentation (default); polygons: polygons on the board")
      ->check(CLI::IsMember({"coco", "polygons"}))
      ->type_name("FORMAT");
  add_new_file_argument(arguments, a->out, "File to write, ending in .json");
  return [a](Session& session) { return run_export(*a, session); };
}

}  // namespace verdigrid
