#include "jobbook/survey_record.h"

#include <map>

#include "base/error.h"
#include "base/sha256.h"
#include "jobbook/entities.h"

namespace verdigrid {

using nlohmann::json;

namespace {

void add_found(const ZoneRow& row, bool has_mm, json& list) {
  for (const Residue r : k_residues) {
    const Amount& a = row.by_class[static_cast<size_t>(r)];
    if (a.px == 0) continue;
    json f = {{"zone", row.name}, {"residue", std::string(name(r))}, {"percent", a.percent.value}};
    if (has_mm) f["area_mm2"] = a.area.value;
    if (!row.parts_reached.empty()) f["parts"] = row.parts_reached;
    list.push_back(std::move(f));
  }
}

// By square, and by zone where there is a layout.
json found_json(const Survey& s) {
  json list = json::array();
  for (const ZoneRow& row : s.zones.squares) add_found(row, s.zones.has_mm, list);
  for (const ZoneRow& row : s.zones.zones) add_found(row, s.zones.has_mm, list);
  return list;
}

std::span<const std::byte> bytes_of(const std::string& text) {
  return std::as_bytes(std::span(text.data(), text.size()));
}

}  // namespace

std::vector<KeptSide> surveys_on_arrival(const JobBook& book, const std::string& board) {
  std::map<Side, std::pair<bool, KeptSide>> newest;  // is of an arrival photo
  for (const Record& p : book.children(board, "photo")) {
    const KeptPhoto photo = kept_photo_from(p.body);
    const auto surveys = book.children(p.id, "survey");
    if (surveys.empty() || !shows_side(photo)) continue;
    const bool is_arrival = photo.role == "arrival";
    auto& [has_arrival, kept] = newest[photo.side];
    if (!is_arrival && has_arrival) continue;
    has_arrival = is_arrival;
    kept = {photo.side, p.id, surveys.back().id};
  }
  std::vector<KeptSide> sides;
  for (const auto& [side, entry] : newest) sides.push_back(entry.second);
  return sides;
}

std::optional<KeptSide> newest_survey(const JobBook& book, const std::string& board, Side side) {
  std::optional<KeptSide> newest;
  std::string made_at;
  for (const Record& photo : book.children(board, "photo")) {
    const KeptPhoto kept = kept_photo_from(photo.body);
    if (kept.side != side || !shows_side(kept)) continue;
    for (const Record& survey : book.children(photo.id, "survey")) {
      if (survey.made_at < made_at) continue;
      made_at = survey.made_at;
      newest = KeptSide{side, photo.id, survey.id};
    }
  }
  return newest;
}

std::string keep_survey(JobBook& book, const std::string& photo, const Survey& survey) {
  Survey machine_result = survey;  // pictures for people are drawn anew when they are wanted
  machine_result.pictures.clear();
  return keep_survey(book, photo, survey, survey_files(machine_result));
}

std::string keep_survey(JobBook& book, const std::string& photo, const Survey& survey,
                        const SurveyFiles& files) {
  const Record record = book.get(photo);
  if (record.kind != "photo" || record.body.value("sha256", "") != survey.photo.sha256)
    throw Error(ErrorKind::wrong_use,
                photo + ": is not the photo that was surveyed. Name the photo's own record.");
  const std::string json_sha256 = sha256_hex(std::as_bytes(std::span(files.json)));
  for (const Record& known : book.children(photo, "survey"))
    if (known.body.value("survey_json_sha256", "") == json_sha256) return known.id;
  json body = {{"survey_json_sha256", book.add_file(bytes_of(files.json))},
               {"detector", survey.detector_id},
               {"program_version", survey.program_version},
               {"found", found_json(survey)},
               {"affected_percent", survey.zones.total.affected.percent.value},
               {"unseen_percent", survey.zones.total.unseen.total_percent}};
  if (survey.zones.has_mm) body["affected_mm2"] = survey.zones.total.affected.area.value;
  for (const NamedBytes& p : files.pictures)
    body["pictures"].push_back({{"file", p.file}, {"sha256", book.add_file(p.bytes)}});
  std::vector<Edit> edits{{"", "survey", photo, body}};
  if (record.unit) {
    Unit unit = unit_from(book.get(*record.unit).body);
    if (unit.state == "received") {
      unit.state = "surveyed";
      edits.push_back({*record.unit, "unit", {}, to_body(unit)});
    }
  }
  return book.change("surveyed with " + survey.detector_id, edits).front();
}

std::array<SideSeen, 2> sides_seen(const JobBook& book, const std::string& board) {
  std::array<SideSeen, 2> sides{SideSeen{Side::front, false, {}, {}},
                                SideSeen{Side::back, false, {}, {}}};
  for (const Record& photo : book.children(board, "photo"))
    if (const KeptPhoto kept = kept_photo_from(photo.body); shows_side(kept))
      sides[kept.side == Side::back].is_photographed = true;
  for (SideSeen& seen : sides) {
    const auto newest = newest_survey(book, board, seen.side);
    if (!newest) continue;
    const json body = book.get(newest->survey).body;
    if (!body.contains("unseen_percent")) continue;
    seen.unseen_percent = body.at("unseen_percent").get<double>();
    seen.affected_percent = body.value("affected_percent", 0.0);
  }
  return sides;
}

Survey kept_survey(const JobBook& book, const std::string& survey) {
  const Record record = book.get(survey);
  if (record.kind != "survey") throw Error(ErrorKind::wrong_use, survey + ": is no survey.");
  const Bytes text = book.file(record.body.at("survey_json_sha256").get<std::string>());
  return load_survey({reinterpret_cast<const char*>(text.data()), text.size()}, survey,
                     [&book](const PictureName& p) { return book.file(p.sha256); });
}

std::vector<Found> found_from(const json& body) {
  std::vector<Found> list;
  const auto found = body.find("found");
  if (found == body.end() || !found->is_array()) return list;
  for (const json& f : *found) {
    if (!f.is_object()) continue;
    Found one{f.value("zone", ""), f.value("residue", ""), {}, f.value("percent", 0.0), {}};
    if (const auto parts = f.find("parts"); parts != f.end() && parts->is_array())
      for (const json& p : *parts)
        if (p.is_string()) one.parts.push_back(p.get<std::string>());
    if (f.contains("area_mm2") && f["area_mm2"].is_number())
      one.area_mm2 = f["area_mm2"].get<double>();
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace verdigrid
