#include "measure/zones_csv.h"

#include <fmt/format.h>

#include <algorithm>

namespace verdigrid {

namespace {

// fmt never asks the locale unless told to. Seven digits: finer than any interval.
void add_number(std::string& line, double v) { line += fmt::format(",{:.7g}", v); }

std::string header(const std::string& first, const std::string& last, const char* unit) {
  std::string line = fmt::format("{1},area_{0},area_in_photo_{0},affected_px", unit, first);
  const auto add = [&](std::string_view what) {
    line += fmt::format(
        ",{0}_{1},{0}_low95_{1},{0}_high95_{1},{0}_percent,{0}_low95_percent,{0}_high95_percent",
        what, unit);
  };
  add("affected");
  for (const Residue r : k_residues) add(name(r));
  line +=
      ",unseen_percent,glare_percent,blur_percent,under_parts_percent,outside_photo_percent,"
      "astm_d610_grade,iso10289_rating,iso4628_3_ri,severity,findings," +
      last;
  return line + "\r\n";
}

void add_amount(std::string& line, const Amount& a) {
  for (const double v :
       {a.area.value, a.area.low, a.area.high, a.percent.value, a.percent.low, a.percent.high})
    add_number(line, v);
}

std::string line_of(std::string line, const ZoneRow& row) {
  add_number(line, row.area);
  add_number(line, row.area_in_photo);
  line += fmt::format(",{}", row.affected.px);
  add_amount(line, row.affected);
  for (const Residue r : k_residues) add_amount(line, row.by_class[static_cast<size_t>(r)]);
  for (const double v :
       {row.unseen.total_percent, row.unseen.glare_percent, row.unseen.blur_percent,
        row.unseen.under_parts_percent, row.unseen.outside_photo_percent})
    add_number(line, v);
  line += fmt::format(",{},{},{},{},{}", row.astm_d610, row.iso10289, row.iso4628_3,
                      name(row.severity), fmt::join(row.findings, " "));
  return line;
}

std::string zone_line(const char* kind, const ZoneRow& row) {
  std::string line = line_of(fmt::format("{},{}", csv_field(row.name), kind), row);
  line += fmt::format(",{}\r\n", csv_field(fmt::format("{}", fmt::join(row.parts_reached, " "))));
  return line;
}

std::string part_line(const PartRow& part) {
  std::string line = line_of(fmt::format("{},{},{},{}", csv_field(part.row.name), name(part.kind),
                                         name(part.side), name(part.reach)),
                             part.row);
  line += fmt::format(",{},{},{}\r\n", part.joints, part.joints_reached, part.hides ? "yes" : "no");
  return line;
}

const char* unit(const ZoneTable& table) { return table.has_mm ? "mm2" : "board_px2"; }

}  // namespace

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

std::string zones_csv(const ZoneTable& table) {
  std::string text = header("zone,kind", "parts_reached", unit(table));
  for (const ZoneRow& row : table.squares) text += zone_line("square", row);
  for (const ZoneRow& row : table.zones) text += zone_line("zone", row);
  return text + zone_line("board", table.total);
}

std::string parts_csv(const ZoneTable& table) {
  std::string text =
      header("part,kind,side,reach", "joints,joints_reached,hides_board", unit(table));
  for (const PartRow& part : table.parts) text += part_line(part);
  return text;
}

}  // namespace verdigrid
