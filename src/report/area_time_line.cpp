#include "report/area_time_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "jobbook/side_pair.h"
#include "jobbook/survey_record.h"
#include "report/figures.h"

namespace verdigrid {

namespace {

struct SurveyedLook {
  std::string heading;  // role and day
  ZoneTable zones;
};

std::vector<SurveyedLook> looks_of(const JobBook& book, const std::string& board, Side side) {
  std::vector<SurveyedLook> looks;
  for (const SidePhoto& photo : side_photos(book, board, side)) {
    const auto surveys = book.children(photo.id, "survey");
    if (surveys.empty()) continue;
    looks.push_back({fmt::format("{}, {}", photo.role, photo.at.substr(0, 10)),
                     kept_survey(book, surveys.back().id).zones});
  }
  return looks;
}

using Rows = std::vector<ZoneRow> ZoneTable::*;

const ZoneRow* row_named(const std::vector<ZoneRow>& rows, const std::string& name) {
  const auto at =
      std::find_if(rows.begin(), rows.end(), [&](const ZoneRow& r) { return r.name == name; });
  return at == rows.end() ? nullptr : &*at;
}

// In the order in which the looks name them.
std::vector<std::string> names_of(const std::vector<SurveyedLook>& looks, Rows rows) {
  std::vector<std::string> names;
  for (const SurveyedLook& look : looks)
    for (const ZoneRow& row : look.zones.*rows)
      if (std::find(names.begin(), names.end(), row.name) == names.end()) names.push_back(row.name);
  return names;
}

Table table_of(const char* caption, const std::vector<SurveyedLook>& looks) {
  Table t{caption, {"place"}, {}, {false}};
  for (const SurveyedLook& look : looks) {
    t.head.push_back(look.heading);
    t.is_number.push_back(true);
  }
  return t;
}

Table rows_over_time(const char* caption, const std::vector<SurveyedLook>& looks, Rows rows,
                     bool only_found) {
  Table t = table_of(caption, looks);
  for (const std::string& name : names_of(looks, rows)) {
    std::vector<std::string> cells{name};
    bool is_found = false;
    for (const SurveyedLook& look : looks) {
      const ZoneRow* row = row_named(look.zones.*rows, name);
      cells.push_back(row ? amount_figure(row->affected, look.zones.has_mm) : "not measured");
      is_found = is_found || (row && row->affected.px > 0);
    }
    if (is_found || !only_found) t.rows.push_back(std::move(cells));
  }
  return t;
}

Table whole_over_time(const std::vector<SurveyedLook>& looks) {
  Table t = table_of("The whole side", looks);
  std::vector<std::string> residue{"residue"}, unseen{"unseen"};
  for (const SurveyedLook& look : looks) {
    residue.push_back(amount_figure(look.zones.total.affected, look.zones.has_mm));
    unseen.push_back(percent_figure(look.zones.total.unseen.total_percent));
  }
  t.rows = {std::move(residue), std::move(unseen)};
  return t;
}

}  // namespace

std::optional<Section> area_time_line(const JobBook& book, const std::string& board,
                                      const std::string& board_name, Side side,
                                      const std::string& prefix) {
  const std::vector<SurveyedLook> looks = looks_of(book, board, side);
  if (looks.size() < 2) return std::nullopt;
  Section s{
      prefix + "areas", fmt::format("{}, {} side: residue over time", board_name, name(side)), {}};
  s.blocks.emplace_back(Paragraph{
      "Each photo measured by itself, in the order in which they were taken. Whether a difference "
      "is more than chance says the comparison of two photos; white salts fade while wet and come "
      "back.",
      Emphasis::quiet});
  s.blocks.emplace_back(whole_over_time(looks));
  Table zones = rows_over_time("Zones", looks, &ZoneTable::zones, false);
  if (!zones.rows.empty()) s.blocks.emplace_back(std::move(zones));
  Table squares = rows_over_time("Squares in which any of them shows residue", looks,
                                 &ZoneTable::squares, true);
  if (!squares.rows.empty()) s.blocks.emplace_back(std::move(squares));
  return s;
}

}  // namespace verdigrid
