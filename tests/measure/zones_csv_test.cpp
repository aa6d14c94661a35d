#include "measure/zones_csv.h"

#include <catch2/catch.hpp>
#include <sstream>

#include "tests/measure/sample_survey.h"

using namespace verdigrid;

namespace {

// An independent reader of RFC 4180: quotes, doubled quotes, CRLF.
std::vector<std::vector<std::string>> read_csv(const std::string& text) {
  std::vector<std::vector<std::string>> rows(1, {""});
  bool quoted = false;
  for (size_t i = 0; i < text.size(); ++i) {
    std::string& field = rows.back().back();
    if (quoted) {
      if (text[i] == '"' && i + 1 < text.size() && text[i + 1] == '"')
        field += text[++i];
      else if (text[i] == '"')
        quoted = false;
      else
        field += text[i];
    } else if (text[i] == '"') {
      quoted = true;
    } else if (text[i] == ',') {
      rows.back().push_back("");
    } else if (text[i] == '\r' && text[i + 1] == '\n') {
      rows.push_back({""});
      ++i;
    } else {
      field += text[i];
    }
  }
  rows.pop_back();
  return rows;
}

size_t column(const std::vector<std::string>& header, const std::string& name) {
  const auto it = std::find(header.begin(), header.end(), name);
  REQUIRE(it != header.end());
  return static_cast<size_t>(it - header.begin());
}

}  // namespace

TEST_CASE("zones.csv has one line per square and one for the board, units in its headers") {
  const ZoneTable table = sample_survey().zones;
  const auto rows = read_csv(zones_csv(table));
  REQUIRE(rows.size() == table.squares.size() + table.zones.size() + 2);
  for (const auto& row : rows) CHECK(row.size() == rows[0].size());
  CHECK(rows[1][0] == "A1");
  CHECK(rows.back()[0] == "board");
  const size_t area = column(rows[0], "copper-salt_mm2");
  double sum = 0;
  for (size_t i = 1; i <= table.squares.size(); ++i) sum += std::stod(rows[i][area]);
  CHECK(sum == Approx(std::stod(rows.back()[area])).epsilon(1e-5));
  CHECK(std::stod(rows.back()[area]) == Approx(3.14159 * 16).epsilon(0.02));
  CHECK(rows.back()[column(rows[0], "severity")] == "copper attacked");
  CHECK(rows.back()[column(rows[0], "findings")] == "1 2");
}

TEST_CASE("zones.csv and parts.csv name zones, parts, reach and joints") {
  const Survey survey = sample_survey();
  const auto zones = read_csv(zones_csv(survey.zones));
  const auto& zone = zones[zones.size() - 2];
  CHECK(zone[0] == "power, \"left\"");
  CHECK(zone[column(zones[0], "kind")] == "zone");
  CHECK(zone[column(zones[0], "parts_reached")] == "C1");
  const auto parts = read_csv(parts_csv(survey.zones));
  REQUIRE(parts.size() == 3);
  CHECK(parts[1][0] == "C1");
  CHECK(parts[1][column(parts[0], "kind")] == "aluminium-radial");
  CHECK(parts[1][column(parts[0], "reach")] == "touched");
  CHECK(parts[1][column(parts[0], "joints")] == "2");
  CHECK(parts[1][column(parts[0], "joints_reached")] == "1");
  CHECK(parts[1][column(parts[0], "hides_board")] == "yes");
  CHECK(parts[2][column(parts[0], "side")] == "back");
  CHECK(parts[2][column(parts[0], "reach")] == "not reached");
}

TEST_CASE("without a scale no header speaks of mm2") {
  const std::string text = zones_csv(empty_survey().zones);
  CHECK(text.find("mm2") == std::string::npos);
  CHECK(text.find("affected_board_px2") != std::string::npos);
}

TEST_CASE("a name with comma, quote or line end stays one field") {
  ZoneTable table = empty_survey().zones;
  table.total.name = "power, \"left\"\r\nside";
  const auto rows = read_csv(zones_csv(table));
  CHECK(rows.back()[0] == table.total.name);
}
