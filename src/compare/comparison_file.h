// A comparison as files: compare.json (format "verdigrid-comparison", version 2, schema
// assets/schema/comparison.schema.json), change.png (ids of ChangeClass) and zones_change.csv.
//
// Saved and loaded again it is the same: equal values, and equal bytes when saved once more.
// Loading throws Error{bad_input} with the JSON path of the first wrong field, or Error{storage}
// for a newer version. Numbers never depend on the locale. May be called from any thread.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "compare/comparison.h"
#include "measure/survey_file.h"

namespace verdigrid {

inline constexpr int k_comparison_version = 2;

struct ComparisonFiles {
  std::string json;                  // compare.json
  std::vector<NamedBytes> pictures;  // change.png, then the ones given
  std::string zones_csv;             // zones_change.csv
};

// `pictures` (side-by-side.jpg, overlay.jpg) are for people and are not needed for loading.
ComparisonFiles comparison_files(const Comparison& comparison,
                                 std::vector<NamedBytes> pictures = {});

// Into an existing folder (a NewFolder's path).
void write_comparison(const std::filesystem::path& folder, const ComparisonFiles& files);
std::vector<std::string> comparison_file_names();  // for NewFolder

// From a folder that holds compare.json and change.png, or from the path of its compare.json.
Comparison load_comparison(const std::filesystem::path& path);

// From the text of compare.json, named `where` in messages, and a way to get change.png.
Comparison load_comparison(std::string_view json, const std::string& where,
                           const std::function<Bytes(const PictureName&)>& picture);

// One row per square, zone, part and the board.
std::string zones_change_csv(const ChangeTable& table);

}  // namespace verdigrid
