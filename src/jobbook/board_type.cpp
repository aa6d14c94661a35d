#include "jobbook/board_type.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "base/base64.h"
#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/survey_record.h"
#include "photo/share.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_format = "verdigrid-board-type";
constexpr int k_version = 1;

struct Tally {
  std::map<std::pair<std::string, bool>, std::pair<int, double>>
      places;  // (name, is part) -> units, sum of percent
  int units = 0;
};

// The newest survey of an arrival photo, side by side for front and back.
std::vector<Record> arrival_surveys(const JobBook& book, const std::string& board) {
  std::map<Side, Record> newest;
  for (const Record& p : book.children(board, "photo")) {
    const KeptPhoto photo = kept_photo_from(p.body);
    if (photo.role != "arrival") continue;
    for (const Record& s : book.children(p.id, "survey")) newest.insert_or_assign(photo.side, s);
  }
  std::vector<Record> surveys;
  for (auto& [side, s] : newest) surveys.push_back(std::move(s));
  return surveys;
}

void count_board(Tally& tally, const std::vector<Record>& surveys) {
  std::map<std::pair<std::string, bool>, double> here;
  for (const Record& s : surveys)
    for (const Found& f : found_from(s.body)) {
      here[{f.zone, false}] += f.percent;
      for (const std::string& part : f.parts) here[{part, true}] += 0;
    }
  for (const auto& [place, percent] : here) {
    auto& [units, sum] = tally.places[place];
    ++units;
    sum += percent;
  }
  ++tally.units;
}

Tally own_tally(const JobBook& book, const std::string& type) {
  Tally tally;
  for (const Record& b : book.of_kind("board")) {
    if (board_from(b.body).type != type) continue;
    const auto surveys = arrival_surveys(book, b.id);
    if (!surveys.empty()) count_board(tally, surveys);
  }
  return tally;
}

json tally_json(const Tally& t) {
  json places = json::array();
  for (const auto& [place, sums] : t.places)
    places.push_back({{"place", place.first},
                      {"is_part", place.second},
                      {"units", sums.first},
                      {"percent_sum", sums.second}});
  return {{"units", t.units}, {"places", places}};
}

void add_tally(Tally& t, const json& other) {
  t.units += other.at("units").get<int>();
  for (const json& p : other.at("places")) {
    auto& [units, sum] = t.places[{p.at("place").get<std::string>(), p.at("is_part").get<bool>()}];
    units += p.at("units").get<int>();
    sum += p.at("percent_sum").get<double>();
  }
}

Bytes picture_from(const std::string& text, const std::string& where) {
  std::optional<Bytes> bytes = from_base64(text);
  if (!bytes)
    throw Error(
        ErrorKind::bad_input,
        where + ": a picture in it is damaged. Ask for the sheet again; nothing was imported.");
  return *std::move(bytes);
}

json sheet_from(std::string_view text, const std::string& where) {
  json sheet = json::parse(text, nullptr, false);
  if (!sheet.is_object() || sheet.value("format", "") != k_format)
    throw Error(
        ErrorKind::bad_input,
        where + ": is no board-type sheet. Name a file that 'verdigrid boardtype export' wrote.");
  if (!sheet.contains("version") || !sheet["version"].is_number_integer() ||
      sheet["version"].get<int>() > k_version)
    throw Error(ErrorKind::bad_input,
                where + ": was written by a newer program. Update this one; nothing was imported.");
  return sheet;
}

template <class T>
void add_missing(std::vector<T>& to, const std::vector<T>& from) {
  for (const T& v : from)
    if (std::find(to.begin(), to.end(), v) == to.end()) to.push_back(v);
}

}  // namespace

json to_body(const BoardType& t) {
  json pictures = json::array();
  for (const std::string& sha : t.good_pictures) pictures.push_back({{"sha256", sha}});
  return {{"name", t.name},           {"revision", t.revision}, {"note", t.note},
          {"traps", t.traps},         {"tests", t.tests},       {"layout", t.layout},
          {"good_pictures", pictures}};
}

BoardType board_type_from(const json& b) {
  try {
    BoardType t{b.value("name", ""),
                b.value("revision", ""),
                b.value("note", ""),
                b.value("traps", std::vector<std::string>()),
                b.value("tests", std::vector<std::string>()),
                b.value("layout", json()),
                {}};
    for (const json& p : b.value("good_pictures", json::array()))
      t.good_pictures.push_back(p.at("sha256").get<std::string>());
    return t;
  } catch (const json::exception& e) {
    throw Error(
        ErrorKind::bad_input,
        fmt::format(
            "Board type: a field is of the wrong type ({}). Correct the file and read it again.",
            e.what()));
  }
}

std::vector<Learned> learned_of(const JobBook& book, const std::string& board_type) {
  const Record record = book.get(board_type);
  Tally tally = own_tally(book, board_type);
  const json elsewhere = record.body.value("learned_elsewhere", json::object());
  for (const auto& [origin, other] : elsewhere.items())
    if (origin != book.origin()) add_tally(tally, other);
  std::vector<Learned> rows;
  for (const auto& [place, sums] : tally.places)
    rows.push_back({place.first, place.second, sums.first, tally.units,
                    place.second ? 0 : sums.second / sums.first});
  std::stable_sort(rows.begin(), rows.end(), [](const Learned& a, const Learned& b) {
    return std::tuple(-a.units_found, -a.mean_percent, a.place) <
           std::tuple(-b.units_found, -b.mean_percent, b.place);
  });
  return rows;
}

std::string board_type_sheet(const JobBook& book, const std::string& board_type) {
  const Record record = book.get(board_type);
  if (record.kind != "board-type")
    throw Error(ErrorKind::wrong_use, board_type + ": is no board type.");
  const BoardType t = board_type_from(record.body);
  json learned = record.body.value("learned_elsewhere", json::object());
  learned[book.origin()] = tally_json(own_tally(book, board_type));
  json pictures = json::array();
  for (const std::string& sha : t.good_pictures)
    pictures.push_back(base64(shareable_photo(book.file(sha), sha)));
  return json{{"format", k_format}, {"version", k_version},   {"id", board_type},
              {"name", t.name},     {"revision", t.revision}, {"note", t.note},
              {"traps", t.traps},   {"tests", t.tests},       {"layout", t.layout},
              {"learned", learned}, {"pictures", pictures}}
             .dump(1) +
         "\n";
}

std::string import_board_type(JobBook& book, std::string_view text, const std::string& where) {
  const json sheet = sheet_from(text, where);
  try {
    const auto id = sheet.at("id").get<std::string>();
    const auto known = book.find(id);
    if (known && known->kind != "board-type")
      throw Error(ErrorKind::wrong_use,
                  where + ": its id belongs to another record here; nothing was imported.");
    BoardType t = known ? board_type_from(known->body)
                        : board_type_from({{"name", sheet.at("name")},
                                           {"revision", sheet.at("revision")},
                                           {"note", sheet.at("note")},
                                           {"layout", sheet.at("layout")}});
    add_missing(t.traps, sheet.at("traps").get<std::vector<std::string>>());
    add_missing(t.tests, sheet.at("tests").get<std::vector<std::string>>());
    if (t.layout.is_null()) t.layout = sheet.at("layout");
    std::vector<std::string> pictures;
    for (const json& p : sheet.at("pictures"))
      pictures.push_back(book.add_file(picture_from(p.get<std::string>(), where)));
    add_missing(t.good_pictures, pictures);
    json body = to_body(t);
    body["learned_elsewhere"] =
        known ? known->body.value("learned_elsewhere", json::object()) : json::object();
    Tally readable;
    for (const auto& [origin, other] : sheet.at("learned").items()) {
      add_tally(readable, other);  // throws for a malformed one
      if (origin != book.origin()) body["learned_elsewhere"][origin] = other;
    }
    if (!known || known->body != body)
      book.put("board-type sheet imported", {id, "board-type", {}, body});
    return id;
  } catch (const json::exception& e) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: a field is missing or of the wrong type ({}). Ask for the sheet "
                            "again; nothing was imported.",
                            where, e.what()));
  }
}

}  // namespace verdigrid
