#include "detect/review.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "base/error.h"
#include "base/files.h"
#include "base/json_parts.h"
#include "detect/look_features.h"

namespace verdigrid {
namespace {

constexpr const char* k_format = "verdigrid-review";
constexpr int k_version = 2;
constexpr std::uintmax_t k_limit_bytes = 256 << 20;

nlohmann::ordered_json answer_json(const ReviewAnswer& a) {
  nlohmann::ordered_json j;
  j["answer"] = name(a.answer.kind);
  j["asked"] = name(a.answer.asked);
  j["class"] = nullptr;
  if (a.answer.residue) j["class"] = name(*a.answer.residue);
  nlohmann::json lessons = nlohmann::json::array();
  for (const auto& lesson : a.lessons)
    lessons.push_back({{"class", name(lesson.residue)}, {"features", lesson.features}});
  j["region_px"] = to_json(a.answer.region_px);
  j["lessons"] = std::move(lessons);
  return j;
}

// "none" included.
Residue class_from(const std::string& word, const std::string& file) {
  if (word == name(Residue::none)) return Residue::none;
  const auto residue = residue_named(word);
  if (!residue) throw_bad_field(file, "unknown class " + word);
  return *residue;
}

AnswerKind kind_from(const std::string& word, const std::string& file) {
  for (const auto kind : {AnswerKind::yes, AnswerKind::no, AnswerKind::not_sure})
    if (word == name(kind)) return kind;
  throw_bad_field(file, "unknown answer " + word);
}

Asked asked_from(const std::string& word, const std::string& file) {
  for (const auto asked : {Asked::shown, Asked::pointed})
    if (word == name(asked)) return asked;
  throw_bad_field(file, "unknown word " + word);
}

ReviewAnswer answer_from(const nlohmann::json& j, const std::string& file) {
  ReviewAnswer a;
  a.answer.kind = kind_from(j.at("answer").get<std::string>(), file);
  a.answer.asked = asked_from(j.at("asked").get<std::string>(), file);
  if (!j.at("class").is_null())
    a.answer.residue = class_from(j.at("class").get<std::string>(), file);
  for (const auto& polygon : j.at("region_px")) {
    a.answer.region_px.push_back(polygon_from_json(polygon));
    if (a.answer.region_px.back().empty())
      throw_bad_field(file, "a region needs at least three points");
  }
  for (const auto& lesson : j.at("lessons"))
    a.lessons.push_back({lesson.at("features").get<std::vector<float>>(),
                         class_from(lesson.at("class").get<std::string>(), file)});
  return a;
}

Review read_review(const nlohmann::json& j, const std::string& file) {
  Review r;
  const auto& photo = j.at("photo");
  r.photo_name = photo.at("name").get<std::string>();
  r.photo_sha256 = photo.at("sha256").get<std::string>();
  r.photo_size_px = size_from_json(photo.at("size_px"));
  r.detector_id = j.at("detector").get<std::string>();
  r.features_version = j.at("features_version").get<int>();
  for (const auto& answer : j.at("answers")) r.answers.push_back(answer_from(answer, file));
  if (j.contains("edits"))
    for (const auto& edit : j["edits"]) r.edits.push_back(edit_from_json(edit, file));
  return r;
}

// Evenly from the whole list.
std::vector<Lesson> thinned(const std::vector<Lesson>& lessons) {
  std::vector<Lesson> few;
  const auto n = lessons.size();
  const auto taken = std::min<std::size_t>(n, k_lessons_of_an_answer);
  for (std::size_t k = 0; k < taken; ++k) few.push_back(lessons[k * n / taken]);
  return few;
}

}  // namespace

std::vector<Answer> Review::plain_answers() const {
  std::vector<Answer> plain;
  for (const auto& a : answers) plain.push_back(a.answer);
  return plain;
}

Review review_of(const Photo& photo, const std::string& detector_id, const LookBase& base,
                 const std::vector<Answer>& answers, const std::vector<MapEdit>& edits) {
  Review r{photo.meta.name,
           photo.meta.sha256,
           photo.size_px(),
           detector_id,
           k_look_features_version,
           {},
           edits};
  for (const auto& a : answers) r.answers.push_back({a, thinned(lessons_of(base, {a}))});
  return r;
}

nlohmann::json edit_json(const MapEdit& e) {
  nlohmann::json j = {
      {"edit", name(e.kind)}, {"class", nullptr}, {"after_answers", e.after_answers}};
  if (e.residue) j["class"] = name(*e.residue);
  if (e.line_px.empty())
    j["region_px"] = to_json(e.region_px);
  else
    j["line_px"] = to_json(e.line_px);
  return j;
}

MapEdit edit_from_json(const nlohmann::json& j, const std::string& file) {
  return read_fields(file, [&] {
    MapEdit e;
    const auto word = j.at("edit").get<std::string>();
    const auto kind = std::find_if(std::begin(k_edit_kinds), std::end(k_edit_kinds),
                                   [&](EditKind k) { return word == name(k); });
    if (kind == std::end(k_edit_kinds)) throw_bad_field(file, "unknown change " + word);
    e.kind = *kind;
    if (!j.at("class").is_null()) e.residue = class_from(j["class"].get<std::string>(), file);
    e.after_answers = j.at("after_answers").get<int>();
    if (j.contains("line_px")) e.line_px = ring_from_json(j["line_px"]);
    if (j.contains("region_px")) e.region_px = polygons_from_json(j["region_px"]);
    check(e);
    return e;
  });
}

std::string review_json(const Review& r) {
  nlohmann::ordered_json j;
  j["format"] = k_format;
  j["version"] = k_version;
  j["photo"] = {
      {"name", r.photo_name}, {"sha256", r.photo_sha256}, {"size_px", to_json(r.photo_size_px)}};
  j["detector"] = r.detector_id;
  j["features_version"] = r.features_version;
  j["answers"] = nlohmann::ordered_json::array();
  for (const auto& a : r.answers) j["answers"].push_back(answer_json(a));
  j["edits"] = nlohmann::ordered_json::array();
  for (const auto& e : r.edits) j["edits"].push_back(nlohmann::ordered_json(edit_json(e)));
  return j.dump(1) + "\n";
}

Review review_from_json(std::string_view text, const std::string& file) {
  const nlohmann::json j = checked_json(text, file, k_format, k_version);
  return read_fields(file, [&] { return read_review(j, file); });
}

void save_review(const std::filesystem::path& path, const Review& review) {
  write_file(path, std::string_view(review_json(review)));
}

Review load_review(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_limit_bytes);
  return review_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                          path.filename().string());
}

void check_fits(const Review& review, const Photo& photo, const std::string& file) {
  if (review.photo_sha256 == photo.meta.sha256 && review.photo_size_px == photo.size_px()) return;
  throw Error(
      ErrorKind::bad_input,
      fmt::format("{}: these answers were given for another photo ({}); give the photo they "
                  "belong to, or use them as lessons.",
                  file, review.photo_name));
}

std::vector<Lesson> lessons_of(const Review& review) {
  std::vector<Lesson> lessons;
  if (review.features_version != k_look_features_version) return lessons;
  for (const auto& a : review.answers)
    lessons.insert(lessons.end(), a.lessons.begin(), a.lessons.end());
  return lessons;
}

}  // namespace verdigrid
