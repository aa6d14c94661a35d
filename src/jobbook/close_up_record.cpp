#include "jobbook/close_up_record.h"

#include <span>

#include "base/error.h"
#include "jobbook/database.h"
#include "jobbook/entities.h"
#include "measure/survey_file.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_kind = "close-up";

std::optional<std::string> kept_id(const JobBook& book, const std::string& photo,
                                   const json& body) {
  for (const Record& known : book.children(photo, k_kind))
    if (known.body == body) return known.id;
  return std::nullopt;
}

}  // namespace

CloseUpBody close_up_body(PhotoStore& store, const PlacedCloseUp& close_up,
                          const Survey& close_up_survey) {
  Survey machine_result = close_up_survey;  // pictures for people are drawn anew when wanted
  machine_result.pictures.clear();
  const SurveyFiles files = survey_files(machine_result);
  CloseUpBody out;
  out.close_up_sha256 = close_up.close_up.sha256;
  const auto stored = [&](std::span<const std::byte> bytes) {
    out.files.emplace_back(store.add(bytes), bytes.size());
    return out.files.back().first;
  };
  out.body = {{"place", json::parse(close_up_json(close_up))},
              {"survey_json_sha256", stored(std::as_bytes(std::span(files.json)))},
              {"detector", close_up_survey.detector_id}};
  for (const NamedBytes& p : files.pictures)
    out.body["pictures"].push_back({{"file", p.file}, {"sha256", stored(p.bytes)}});
  return out;
}

std::vector<Edit> placed_close_up_edits(JobBook& book, const std::string& close_up_photo,
                                        const CloseUpBody& close_up) {
  const Record record = book.get(close_up_photo);
  if (record.kind != "photo" || record.body.value("sha256", "") != close_up.close_up_sha256)
    throw Error(ErrorKind::wrong_use,
                close_up_photo + ": is not the close-up that was placed. Name its own record.");
  for (const auto& [sha256, bytes] : close_up.files) book.register_file(sha256, bytes);
  if (kept_id(book, close_up_photo, close_up.body)) return {};
  std::vector<Edit> edits{{"", k_kind, close_up_photo, close_up.body}};
  KeptPhoto photo = kept_photo_from(record.body);
  if (photo.role != "close-up" || !photo.no_place.empty()) {
    photo.role = "close-up";
    photo.no_place.clear();
    edits.push_back({close_up_photo, "photo", {}, to_body(photo)});
  }
  return edits;
}

std::string keep_placed_close_up(JobBook& book, const std::string& close_up_photo,
                                 const PlacedCloseUp& close_up, const Survey& close_up_survey) {
  PhotoStore store = book.photos();
  const CloseUpBody body = close_up_body(store, close_up, close_up_survey);
  const std::vector<Edit> edits = placed_close_up_edits(book, close_up_photo, body);
  return edits.empty() ? *kept_id(book, close_up_photo, body.body)
                       : book.change("close-up placed", edits).front();
}

bool was_placed(const JobBook& book, const Record& close_up_photo) {
  Statement s(book.database(),
              "SELECT 1 FROM change WHERE unit = ?1 AND parent = ?2 AND kind = ?3 LIMIT 1");
  s.bind(1, close_up_photo.unit.value_or("")).bind(2, close_up_photo.id).bind(3, k_kind);
  return s.step();
}

std::vector<KeptCloseUp> close_ups_on(const JobBook& book, const std::string& board,
                                      const std::string& photo_sha256) {
  std::vector<KeptCloseUp> out;
  for (const Record& photo : book.children(board, "photo")) {
    const auto records = book.children(photo.id, k_kind);
    if (records.empty()) continue;
    const Record& newest = records.back();
    const auto place = newest.body.find("place");
    if (place == newest.body.end())
      throw Error(ErrorKind::bad_input, newest.id + ": place: is missing.");
    PlacedCloseUp c = close_up_from_json(place->dump(), newest.id);
    if (c.photo.sha256 == photo_sha256) out.push_back({newest.id, photo.id, std::move(c)});
  }
  return out;
}

}  // namespace verdigrid
