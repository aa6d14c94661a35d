#include "compare/comparison_file.h"

#include <fmt/format.h>

#include "base/error.h"
#include "base/json_parts.h"
#include "base/sha256.h"
#include "compare/comparison_visit.h"
#include "photo/encode.h"
#include "photo/grey_png.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr const char* k_json = "compare.json";
constexpr const char* k_change = "change.png";
constexpr const char* k_zones = "zones_change.csv";
constexpr std::uintmax_t k_json_limit_bytes = 512u << 20;
constexpr std::uintmax_t k_picture_limit_bytes = std::uintmax_t{2} << 30;
constexpr int k_largest_side_px = 100'000;

using Json = nlohmann::ordered_json;

std::string json_of(const Comparison& comparison, std::vector<PictureName> pictures) {
  Comparison c = comparison;  // a visitor may write; the pixels are shared
  JsonWriter writer;
  writer.json()["format"] = "verdigrid-comparison";
  writer.json()["version"] = k_comparison_version;
  visit(writer, c);
  writer.json()["rectification"] = Json::parse(rectification_json(c.rectification));
  writer.list("pictures", pictures);
  return json_lines(writer.json());
}

void check_size(const ComparedPhoto& photo, const std::string& where, const char* which) {
  if (photo.size_px.width >= 1 && photo.size_px.height >= 1 &&
      photo.size_px.width <= k_largest_side_px && photo.size_px.height <= k_largest_side_px)
    return;
  throw Error(ErrorKind::bad_input, fmt::format("{}: {}.size_px: must be two whole numbers of 1 to "
                                                "{}.",
                                                where, which, k_largest_side_px));
}

}  // namespace

ComparisonFiles comparison_files(const Comparison& comparison, std::vector<NamedBytes> pictures) {
  ComparisonFiles files;
  files.pictures = {{k_change, png_bytes(comparison.classes)}};
  for (NamedBytes& p : pictures) files.pictures.push_back(std::move(p));
  std::vector<PictureName> names;
  for (const NamedBytes& p : files.pictures) names.push_back({p.file, sha256_hex(p.bytes)});
  files.json = json_of(comparison, std::move(names));
  files.zones_csv = zones_change_csv(comparison.table);
  return files;
}

void write_comparison(const std::filesystem::path& folder, const ComparisonFiles& files) {
  for (const NamedBytes& p : files.pictures) write_file(folder / p.file, p.bytes);
  write_file(folder / k_zones, files.zones_csv);
  // Last, since it is what says that the comparison is whole.
  write_file(folder / k_json, files.json);
}

std::vector<std::string> comparison_file_names() {
  return {k_json, k_change, k_zones, "side-by-side.jpg", "overlay.jpg"};
}

Comparison load_comparison(const std::filesystem::path& path) {
  const std::filesystem::path json = std::filesystem::is_directory(path) ? path / k_json : path;
  const Bytes bytes = read_file(json, k_json_limit_bytes);
  return load_comparison({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                         json.filename().string(),
                         [folder = json.parent_path()](const PictureName& p) {
                           return read_file(folder / p.file, k_picture_limit_bytes);
                         });
}

Comparison load_comparison(std::string_view text, const std::string& where,
                           const std::function<Bytes(const PictureName&)>& picture) {
  const nlohmann::json j = checked_json(text, where, "verdigrid-comparison", k_comparison_version);
  JsonReader reader{JsonFields(j, "", where)};
  reader.fields().allow("format");
  reader.fields().allow("version");
  Comparison c;
  visit(reader, c);
  c.table.grid.has_mm = c.table.has_mm;
  c.alignment.before_size_px = c.before.size_px;
  c.alignment.after_size_px = c.after.size_px;
  check_size(c.before, where, "before");
  check_size(c.after, where, "after");
  c.options.check();
  reader.fields().object("rectification");
  c.rectification = rectification_from_json(j["rectification"].dump(), where + ": rectification");
  std::vector<PictureName> pictures;
  reader.list("pictures", pictures);
  reader.fields().finish();
  for (const PictureName& p : pictures) {
    if (p.file != k_change) continue;
    const Bytes bytes = picture(p);
    if (sha256_hex(bytes) != p.sha256)
      throw Error(ErrorKind::bad_input,
                  p.file + ": is not the picture that " + where +
                      " names (its SHA-256 differs); make the comparison again.");
    c.classes = grey_png(bytes, c.before.size_px, p.file);
    double most = 0;
    cv::minMaxIdx(c.classes, nullptr, &most);
    if (most < k_change_class_count) return c;
    throw Error(ErrorKind::bad_input,
                p.file +
                    ": holds a value above 7, which is no class of change. Make the "
                    "comparison again.");
  }
  throw Error(ErrorKind::bad_input,
              where + ": pictures: change.png is not named there; make the comparison again.");
}

}  // namespace verdigrid
