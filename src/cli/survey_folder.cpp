#include "cli/survey_folder.h"

#include "measure/survey_file.h"
#include "photo/encode.h"
#include "report/overlay.h"
#include "report/places_sheet.h"

namespace verdigrid {

std::string write_survey_folder(NewFolder& folder, const Photo& photo, const Survey& survey,
                                const Work& work) {
  std::vector<NamedBytes> pictures;
  pictures.push_back(
      {"overlay.jpg", jpeg_bytes(overlay_picture(photo, survey, {}, work.part(0, 0.2)))});
  pictures.push_back(
      {"places.jpg", jpeg_bytes(places_sheet(photo, survey, {}, work.part(0.2, 0.4)))});
  work.check();
  const SurveyFiles files = survey_files(survey, std::move(pictures));
  work.report(0.8);
  work.check();
  write_survey(folder.path(), files);
  work.check();
  folder.commit();
  return files.json;
}

}  // namespace verdigrid
