// A survey as files: survey.json (format "verdigrid-survey", version 1, schema
// assets/schema/survey.schema.json), labels.png, confidence.png and zones.csv.
//
// Saved and loaded again it is the same bit for bit: equal values, and equal bytes when saved once
// more. survey.json names every picture with its SHA-256, and loading checks them. Loading throws
// Error{bad_input} with the JSON path of the first wrong field, or Error{storage} for a newer
// version. Numbers never depend on the locale. May be called from any thread. Cost: about 1 s for
// 24 MP each way (two PNGs).
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "measure/survey.h"

namespace verdigrid {

inline constexpr int k_survey_version = 1;

struct NamedBytes {
  std::string file;  // without folder
  Bytes bytes;
};

struct SurveyFiles {
  std::string json;                  // survey.json
  std::vector<NamedBytes> pictures;  // labels.png, confidence.png, then the ones given
  std::string zones_csv;
  std::string parts_csv;  // empty without parts of a layout: then there is no such file
};

// All files in memory. `pictures` (overlay.jpg, places.jpg) are for people: they are named in the
// JSON with their SHA-256 and are not needed for loading; survey.pictures is ignored in favour of
// them unless they are empty.
SurveyFiles survey_files(const Survey& survey, std::vector<NamedBytes> pictures = {});

// Writes survey.json, zones.csv and the pictures into an existing folder (a NewFolder's path, so
// that it appears whole).
void write_survey(const std::filesystem::path& folder, const SurveyFiles& files);

// The names that write_survey uses with overlay.jpg and places.jpg: for NewFolder.
std::vector<std::string> survey_file_names();

// From a folder that holds survey.json, labels.png and confidence.png, or from the path of its
// survey.json.
Survey load_survey(const std::filesystem::path& path);

// From the text of survey.json, named `where` in messages, and a way to get a picture that it names
// by its file name and SHA-256.
using PictureSource = std::function<Bytes(const PictureName&)>;
Survey load_survey(std::string_view json, const std::string& where, const PictureSource& picture);

}  // namespace verdigrid
