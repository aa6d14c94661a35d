#include "desk/document.h"

#include <fmt/format.h>

#include "base/error.h"
#include "base/json_parts.h"
#include "detect/review.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_format = "verdigrid-work";
constexpr int k_version = 2;

// Polygons of version 1: [outer, hole, hole ...].
std::vector<Polygon> polygons_of_version_1(const json& list) {
  std::vector<Polygon> polygons;
  for (const json& rings : list) {
    Polygon p{ring_from_json(rings.at(0)), {}};
    for (size_t i = 1; i < rings.size(); ++i) p.holes.push_back(ring_from_json(rings[i]));
    polygons.push_back(std::move(p));
  }
  return polygons;
}

template <class T>
T one_of(const json& value, std::initializer_list<T> known) {
  const auto text = value.get<std::string>();
  for (const T k : known)
    if (text == name(k)) return k;
  throw Error(ErrorKind::bad_input, fmt::format("Saved work: \"{}\" is not a known value. Open the "
                                                "photo again; the photo itself is kept.",
                                                text));
}

json note_json(const Note& n) {
  return {{"id", n.id},
          {"kind", name(n.kind)},
          {"points_px", to_json(n.points_px)},
          {"text", n.text},
          {"state", name(n.state)},
          {"part", n.part},
          {"wants_rework", n.wants_rework},
          {"photo_sha256", n.photo_sha256.empty() ? json() : json(n.photo_sha256)}};
}

Note note_from(const json& j) {
  return {j.at("id").get<int>(),
          one_of(j.at("kind"), {NoteKind::pin, NoteKind::arrow, NoteKind::outline}),
          ring_from_json(j.at("points_px")),
          j.at("text").get<std::string>(),
          one_of(j.at("state"), {NoteState::suspect, NoteState::to_do, NoteState::done}),
          j.at("part").get<std::string>(),
          j.at("wants_rework").get<bool>(),
          j.contains("photo_sha256") && j["photo_sha256"].is_string()
              ? j["photo_sha256"].get<std::string>()
              : std::string()};
}

json answer_json(const Answer& a) {
  json j = {
      {"region_px", to_json(a.region_px)}, {"answer", name(a.kind)}, {"asked", name(a.asked)}};
  if (a.residue) j["residue"] = std::string(name(*a.residue));
  return j;
}

Answer answer_from(const json& j, int version) {
  Answer a;
  a.region_px = version == 1 ? polygons_of_version_1(j.at("region_px"))
                             : polygons_from_json(j.at("region_px"));
  a.kind = one_of(j.at("answer"), {AnswerKind::yes, AnswerKind::no, AnswerKind::not_sure});
  a.asked = one_of(j.at("asked"), {Asked::shown, Asked::pointed});
  if (j.contains("residue")) a.residue = residue_named(j["residue"].get<std::string>());
  return a;
}

json scale_json(const ScaleChoice& s) {
  json j = {{"corners_px", to_json(s.corners_px)},
            {"points_px", to_json(s.points_px)},
            {"uses_card", s.uses_card},
            {"side", name(s.side)},
            {"turn_deg", s.turn_deg}};
  if (s.board_mm) j["board_mm"] = {s.board_mm->width, s.board_mm->height};
  if (s.distance_mm) j["distance_mm"] = *s.distance_mm;
  return j;
}

ScaleChoice scale_from(const json& j) {
  ScaleChoice s;
  if (j.contains("board_mm"))
    s.board_mm = cv::Size2d(j["board_mm"].at(0).get<double>(), j["board_mm"].at(1).get<double>());
  if (j.contains("distance_mm")) s.distance_mm = j["distance_mm"].get<double>();
  s.corners_px = ring_from_json(j.at("corners_px"));
  s.points_px = ring_from_json(j.at("points_px"));
  s.uses_card = j.at("uses_card").get<bool>();
  s.side = one_of(j.at("side"), {Side::front, Side::back});
  s.turn_deg = j.at("turn_deg").get<int>();
  return s;
}

}  // namespace

const char* name(NoteKind kind) {
  switch (kind) {
    case NoteKind::pin:
      return "pin";
    case NoteKind::arrow:
      return "arrow";
    case NoteKind::outline:
      return "outline";
  }
  throw Error(ErrorKind::internal, "Internal fault: a kind of note has no name. Please report it.");
}

const char* name(NoteState state) {
  switch (state) {
    case NoteState::suspect:
      return "suspect";
    case NoteState::to_do:
      return "to do";
    case NoteState::done:
      return "done";
  }
  throw Error(ErrorKind::internal,
              "Internal fault: a state of a note has no name. Please report it.");
}

bool operator==(const Document& a, const Document& b) { return to_json(a) == to_json(b); }

RectifyOptions rectify_options(const ScaleChoice& c) {
  RectifyOptions o;
  o.side = c.side;
  o.turn_deg = c.turn_deg;
  o.board_mm = c.board_mm;
  if (c.board_mm)
    o.corners_px = c.corners_px;
  else if (c.points_px.size() == 2 && c.distance_mm)
    o.points_px = c.points_px, o.distance_mm = c.distance_mm;
  else if (c.uses_card)
    o.card = CardUse{};
  return o;
}

json to_json(const Document& d) {
  json notes = json::array(), answers = json::array(), edits = json::array();
  for (const Answer& a : d.answers) answers.push_back(answer_json(a));
  for (const MapEdit& e : d.edits) edits.push_back(edit_json(e));
  for (const Note& n : d.notes) notes.push_back(note_json(n));
  json j = {{"format", k_format},
            {"version", k_version},
            {"photo_name", d.photo_name},
            {"photo_sha256", d.photo_sha256},
            {"scale", scale_json(d.scale)},
            {"setting", name(d.setting)},
            {"battery_in", name(d.battery_in)},
            {"peeks", d.peeks},
            {"answers", answers},
            {"edits", edits},
            {"notes", notes},
            {"next_note_id", d.next_note_id}};
  if (!d.layout_sha256.empty()) j["layout_sha256"] = d.layout_sha256;
  if (d.is_dry) j["is_dry"] = true;
  for (const PointPair& p : d.compare_pairs)
    j["compare_pairs"].push_back({p.first_px.x, p.first_px.y, p.second_px.x, p.second_px.y});
  if (!d.compared_with_sha256.empty()) j["compared_with_sha256"] = d.compared_with_sha256;
  return j;
}

Document document_from(const json& j) {
  try {
    if (j.value("format", "") != k_format)
      throw Error(
          ErrorKind::bad_input,
          "Saved work: the format field is wrong. Open the photo again; the photo itself is kept.");
    const int version = j.at("version").get<int>();
    if (version > k_version)
      throw Error(
          ErrorKind::storage,
          "Saved work: was written by a newer program. Update this one; nothing was changed.");
    Document d;
    d.photo_name = j.at("photo_name").get<std::string>();
    d.photo_sha256 = j.at("photo_sha256").get<std::string>();
    d.scale = scale_from(j.at("scale"));
    d.setting = one_of(j.at("setting"), {Setting::show_less, Setting::normal, Setting::show_more});
    d.battery_in = one_of(j.at("battery_in"), {Answer3::unknown, Answer3::yes, Answer3::no});
    d.peeks = j.at("peeks").get<std::vector<std::string>>();
    for (const json& a : j.at("answers")) d.answers.push_back(answer_from(a, version));
    if (j.contains("edits"))
      for (const json& e : j["edits"]) d.edits.push_back(edit_from_json(e, "Saved work"));
    d.layout_sha256 = j.value("layout_sha256", "");
    d.compared_with_sha256 = j.value("compared_with_sha256", "");
    d.is_dry = j.value("is_dry", false);
    if (j.contains("compare_pairs"))
      for (const json& p : j["compare_pairs"]) {
        const auto v = p.get<std::array<double, 4>>();
        d.compare_pairs.push_back({{v[0], v[1]}, {v[2], v[3]}});
      }
    for (const json& n : j.at("notes")) d.notes.push_back(note_from(n));
    d.next_note_id = j.at("next_note_id").get<int>();
    return d;
  } catch (const json::exception& e) {
    throw Error(ErrorKind::bad_input,
                fmt::format("Saved work: a field is missing or of the wrong type ({}). Open the "
                            "photo again; the photo itself is kept.",
                            e.what()));
  }
}

}  // namespace verdigrid
