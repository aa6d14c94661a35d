#include "cli/batch_table.h"

#include <fmt/format.h>

#include "cli/batch_run.h"
#include "measure/zones_csv.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;
using nlohmann::json;

fs::path folder_of(const BatchItem& item, const std::vector<fs::path>& results) {
  for (const fs::path& out : results)
    if (fs::exists(out / item.name / "survey.json")) return out / item.name;
  return {};
}

void add_interval(std::string& row, const json& interval) {
  for (const char* end : {"value", "low", "high"})
    row += fmt::format(",{:.7g}", interval.at(end).get<double>());
}

std::string row_of(const BatchItem& item, const fs::path& folder) {
  const json line = batch_line(item.name, folder, "done");
  std::string row = fmt::format(
      "{},{},{},{},{},{}", csv_field(item.name), csv_field(item.unit),
      line.at("sha256").get<std::string>(), line.at("check").get<std::string>(),
      line.at("findings").get<size_t>(), csv_field(line.at("severity").get<std::string>()));
  add_interval(row, line.at("affected_percent"));
  if (line.contains("affected_mm2"))
    add_interval(row, line.at("affected_mm2"));
  else
    row += ",,,";
  return row + fmt::format(",{:.7g}\r\n", line.at("unseen_percent").get<double>());
}

}  // namespace

Gathered gathered(const std::vector<BatchItem>& items, const std::vector<fs::path>& results) {
  Gathered g;
  g.csv =
      "photo,unit,sha256,photo_check,findings,severity,affected_percent,affected_low95_percent,"
      "affected_high95_percent,affected_mm2,affected_low95_mm2,affected_high95_mm2,unseen_percent"
      "\r\n";
  for (const BatchItem& item : items) {
    g.folders.push_back(folder_of(item, results));
    if (!g.folders.back().empty()) g.csv += row_of(item, g.folders.back());
  }
  return g;
}

}  // namespace verdigrid
