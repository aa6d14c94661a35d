#include "measure/survey_file.h"

#include <algorithm>

#include "base/error.h"
#include "base/sha256.h"
#include "measure/polygon_rows.h"
#include "measure/survey_json.h"
#include "measure/zones_csv.h"
#include "photo/encode.h"
#include "photo/grey_png.h"

namespace verdigrid {

namespace {

constexpr const char* k_json = "survey.json";
constexpr const char* k_labels = "labels.png";
constexpr const char* k_confidence = "confidence.png";
constexpr const char* k_zones = "zones.csv";
constexpr const char* k_parts = "parts.csv";
constexpr const char* k_overlay = "overlay.jpg";
constexpr const char* k_places = "places.jpg";
constexpr std::uintmax_t k_json_limit_bytes = 512u << 20;
constexpr std::uintmax_t k_picture_limit_bytes = std::uintmax_t{2} << 30;

bool is_own_picture(const PictureName& p) { return p.file == k_labels || p.file == k_confidence; }

cv::Mat picture_of(const PictureSource& picture, const std::string& file, const Survey& s,
                   const std::string& where) {
  const auto it = std::find_if(s.pictures.begin(), s.pictures.end(),
                               [&](const PictureName& p) { return p.file == file; });
  if (it == s.pictures.end())
    throw Error(ErrorKind::bad_input,
                where + ": pictures: " + file + " is not named there; make the survey again.");
  const Bytes bytes = picture(*it);
  if (sha256_hex(bytes) != it->sha256)
    throw Error(ErrorKind::bad_input,
                file + ": is not the picture that " + where +
                    " names (its SHA-256 differs): it was changed or belongs to another survey. "
                    "Make the survey again.");
  return grey_png(bytes, s.photo_size_px, file);
}

// Findings are whole pixels, so their regions say which; the picture of ids is not stored.
cv::Mat finding_of_px(const Survey& s) {
  if (s.findings.findings.empty()) return {};
  cv::Mat ids = cv::Mat::zeros(s.photo_size_px, CV_16UC1);
  for (const Finding& f : s.findings.findings)
    for (const Polygon& region : f.regions_px) {
      const PolygonRows rows(region, s.photo_size_px);
      for (int y = rows.first_row(); y < rows.end_row(); ++y)
        for (const PixelSpan span : rows.row(y))
          std::fill(ids.ptr<std::uint16_t>(y) + span.first, ids.ptr<std::uint16_t>(y) + span.end,
                    static_cast<std::uint16_t>(f.id));
    }
  return ids;
}

void check_labels(const cv::Mat& labels, const std::string& file) {
  double most = 0;
  cv::minMaxIdx(labels, nullptr, &most);
  if (most >= k_residue_count)
    throw Error(
        ErrorKind::bad_input,
        file + ": holds a value above 7, which is no residue class. Make the survey again.");
}

}  // namespace

SurveyFiles survey_files(const Survey& survey, std::vector<NamedBytes> pictures) {
  SurveyFiles files;
  files.pictures = {{k_labels, png_bytes(survey.map.labels)},
                    {k_confidence, png_bytes(survey.map.confidence)}};
  for (NamedBytes& p : pictures) files.pictures.push_back(std::move(p));
  std::vector<PictureName> names;
  for (const NamedBytes& p : files.pictures) names.push_back({p.file, sha256_hex(p.bytes)});
  if (pictures.empty()) names.insert(names.end(), survey.pictures.begin(), survey.pictures.end());
  files.json = survey_json(survey, names);
  files.zones_csv = zones_csv(survey.zones);
  if (survey.layout && !survey.zones.parts.empty()) files.parts_csv = parts_csv(survey.zones);
  return files;
}

void write_survey(const std::filesystem::path& folder, const SurveyFiles& files) {
  for (const NamedBytes& p : files.pictures) write_file(folder / p.file, p.bytes);
  write_file(folder / k_zones, files.zones_csv);
  if (!files.parts_csv.empty()) write_file(folder / k_parts, files.parts_csv);
  // Last, since it is what says that the survey is whole.
  write_file(folder / k_json, files.json);
}

std::vector<std::string> survey_file_names() {
  return {k_json, k_labels, k_confidence, k_zones, k_parts, k_overlay, k_places};
}

Survey load_survey(const std::filesystem::path& path) {
  const bool is_folder = std::filesystem::is_directory(path);
  const std::filesystem::path json = is_folder ? path / k_json : path;
  const Bytes bytes = read_file(json, k_json_limit_bytes);
  return load_survey({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                     json.filename().string(), [folder = json.parent_path()](const PictureName& p) {
                       return read_file(folder / p.file, k_picture_limit_bytes);
                     });
}

Survey load_survey(std::string_view json, const std::string& where, const PictureSource& picture) {
  Survey s = survey_from_json(json, where);
  s.map.labels = picture_of(picture, k_labels, s, where);
  check_labels(s.map.labels, k_labels);
  s.map.confidence = picture_of(picture, k_confidence, s, where);
  std::erase_if(s.pictures, is_own_picture);
  s.findings.finding_of_px = finding_of_px(s);
  return s;
}

}  // namespace verdigrid
