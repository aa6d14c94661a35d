// verdigrid import: regions that another program or a person drew, as the review of a survey.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/files.h"
#include "cli/command.h"
#include "cli/new_file.h"
#include "detect/look_features.h"
#include "detect/review.h"
#include "measure/survey_file.h"
#include "report/exchange_json.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_limit_bytes = std::uintmax_t{256} << 20;

struct ImportArguments {
  std::filesystem::path regions, survey;
  NewFile out;
};

// Each region is drawn by hand, on top of what the survey found.
Review review_from(const Survey& survey, const std::vector<CocoRegion>& regions) {
  Review review;
  review.photo_name = survey.photo.name;
  review.photo_sha256 = survey.photo.sha256;
  review.photo_size_px = survey.photo_size_px;
  review.detector_id = survey.detector_id;
  review.features_version = k_look_features_version;
  for (const CocoRegion& region : regions) {
    MapEdit edit;
    edit.kind = EditKind::draw;
    edit.region_px = region.regions_px;
    edit.residue = region.residue;
    review.edits.push_back(std::move(edit));
  }
  return review;
}

int run_import(const ImportArguments& a, Session& s) {
  a.out.check(".json");
  const Survey survey = load_survey(a.survey);
  const Bytes bytes = read_file(a.regions, k_limit_bytes);
  const auto regions =
      coco_regions({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                   a.regions.filename().string(), survey.photo.name, survey.photo_size_px);
  save_review(a.out.path, review_from(survey, regions));
  s.messages << regions.size() << " regions written to " << a.out.path.string()
             << "; 'verdigrid survey " << survey.photo.name << " --review "
             << a.out.path.filename().string() << "' takes them in.\n";
  return 0;
}

}  // namespace

CommandRun import_command(CLI::App& arguments) {
  const auto a = std::make_shared<ImportArguments>();
  arguments.add_option("REGIONS", a->regions, "COCO file of instance segmentation")
      ->required()
      ->type_name("");
  arguments.add_option("--survey", a->survey, "Folder of the survey of the same photo")
      ->required()
      ->type_name("FOLDER");
  add_new_file_argument(arguments, a->out, "Review to write, ending in .json");
  return [a](Session& session) { return run_import(*a, session); };
}

}  // namespace verdigrid
