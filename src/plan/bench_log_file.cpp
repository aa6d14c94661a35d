#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/error.h"
#include "base/files.h"
#include "plan/bench_log.h"
#include "plan/plan_json.h"

namespace verdigrid {

using Json = nlohmann::ordered_json;

namespace {

constexpr std::uintmax_t k_largest_file = 16u << 20;
constexpr double k_most = 1e6;
constexpr std::array k_step_kinds{StepKind::start, StepKind::pause, StepKind::done,
                                  StepKind::problem};
constexpr auto k_states = std::to_array(k_part_states);
constexpr std::array k_readings{ReadingOf::value, ReadingOf::polarity};
constexpr std::array k_bath_kinds{BathKind::neutralise, BathKind::wash, BathKind::rinse,
                                  BathKind::alcohol};
constexpr std::array k_neutralisers{Neutraliser::weak_acid, Neutraliser::bicarbonate};
constexpr auto k_ways = std::to_array(k_drying_ways);

void put(Json& j, const char* key, const std::string& text) {
  if (!text.empty()) j[key] = text;
}

void put(Json& j, const char* key, const std::optional<double>& value) {
  if (value) j[key] = *value;
}

double amount(JsonFields& f, const std::string& key) {
  const double v = f.number(key);
  if (!(v > 0 && v <= k_most))
    f.refuse(key, fmt::format("must be above 0 and {:g} at most", k_most));
  return v;
}

std::optional<double> amount_if(JsonFields& f, const std::string& key) {
  f.allow(key);
  if (!f.has(key)) return std::nullopt;
  return amount_or(f, key, 0, k_most);
}

void put_place(Json& j, const BenchPlace& place) {
  j["item"] = place.item;
  put(j, "part", place.part);
}

BenchPlace place_from(JsonFields& f) { return {f.text("item"), f.text_or("part", "")}; }

// "kind" of an entry, and how each is written and read.
Json event_json(const WorkStep& s) {
  Json j{{"kind", "work"}, {"step", name(s.kind)}};
  put_place(j, s.place);
  put(j, "word", s.word);
  put(j, "minutes", s.minutes);
  return j;
}
Json event_json(const CloseUp& c) {
  Json j{{"kind", "close-up"}};
  put_place(j, c.place);
  j["photo"] = c.photo;
  put(j, "photo_sha256", c.photo_sha256);
  return j;
}
Json event_json(const ShiftNote& n) { return {{"kind", "note"}, {"text", n.text}}; }
Json event_json(const PartMove& m) {
  Json j{{"kind", "part"}, {"part", m.designator}, {"state", name(m.state)}};
  put(j, "word", m.word);
  return j;
}
Json event_json(const PartReading& r) {
  Json j{{"kind", "reading"}, {"part", r.designator}, {"of", name(r.what)}};
  put(j, "print", r.print);
  put(j, "old_part", r.old_part);
  put(j, "meter", r.meter);
  return j;
}
Json event_json(const Bath& b) {
  Json j{{"kind", "bath"}, {"bath_kind", name(b.kind)}};
  put(j, "place", b.place);
  j["bath"] = b.bath;
  put(j, "detergent", b.detergent);
  if (b.neutraliser) j["neutraliser"] = name(*b.neutraliser);
  j["minutes"] = b.minutes;
  put(j, "temperature_c", b.temperature_c);
  if (b.is_ultrasonic) j["ultrasonic"] = true;
  if (!b.removed_first.empty()) j["removed_first"] = b.removed_first;
  return j;
}
Json event_json(const Drying& d) {
  Json j{{"kind", "drying"}, {"way", name(d.way)}, {"hours", d.hours}};
  put(j, "temperature_c", d.temperature_c);
  return j;
}
Json event_json(const Weighing& w) {
  Json j{{"kind", "weight"}, {"before_wash", w.is_before}, {"grams", w.grams}};
  put(j, "limit_g", w.limit_g);
  return j;
}
Json event_json(const ClockStart& c) {
  Json j{{"kind", "clock"}, {"id", c.id}, {"what", c.what}};
  put(j, "place", c.place);
  put(j, "then", c.then);
  j["minutes"] = c.minutes;
  return j;
}
Json event_json(const ClockStop& c) { return {{"kind", "clock-stopped"}, {"id", c.id}}; }

WorkStep step_from(JsonFields& f) {
  WorkStep s;
  s.kind = word(f, "step", k_step_kinds);
  s.place = place_from(f);
  s.word = f.text_or("word", "");
  s.minutes = amount_if(f, "minutes");
  return s;
}

CloseUp close_up_from(JsonFields& f) {
  return {place_from(f), f.text("photo"), f.text_or("photo_sha256", "")};
}

PartReading reading_from(JsonFields& f) {
  return {f.text("part"), word(f, "of", k_readings), f.text_or("print", ""),
          f.text_or("old_part", ""), f.text_or("meter", "")};
}

Bath bath_from(JsonFields& f) {
  Bath b;
  b.kind = word(f, "bath_kind", k_bath_kinds);
  b.place = f.text_or("place", "");
  b.bath = f.text("bath");
  b.detergent = f.text_or("detergent", "");
  f.allow("neutraliser");
  if (f.has("neutraliser")) b.neutraliser = word(f, "neutraliser", k_neutralisers);
  b.minutes = amount(f, "minutes");
  b.temperature_c = amount_if(f, "temperature_c");
  b.is_ultrasonic = f.truth_or("ultrasonic", false);
  b.removed_first = f.texts("removed_first");
  return b;
}

Drying drying_from(JsonFields& f) {
  Drying d;
  d.way = word(f, "way", k_ways);
  d.hours = amount(f, "hours");
  d.temperature_c = amount_if(f, "temperature_c");
  return d;
}

ClockStart clock_from(JsonFields& f) {
  return {f.text("id"), f.text("what"), f.text_or("place", ""), f.text_or("then", ""),
          amount(f, "minutes")};
}

BenchEvent event_from(JsonFields& f) {
  const std::string kind = f.text("kind");
  if (kind == "work") return step_from(f);
  if (kind == "close-up") return close_up_from(f);
  if (kind == "note") return ShiftNote{f.text_or("text", "")};
  if (kind == "part")
    return PartMove{f.text("part"), word(f, "state", k_states), f.text_or("word", "")};
  if (kind == "reading") return reading_from(f);
  if (kind == "bath") return bath_from(f);
  if (kind == "drying") return drying_from(f);
  if (kind == "weight")
    return Weighing{f.truth_or("before_wash", true), amount(f, "grams"), amount_if(f, "limit_g")};
  if (kind == "clock") return clock_from(f);
  if (kind == "clock-stopped") return ClockStop{f.text("id")};
  f.refuse("kind", "\"" + kind + "\" is no entry of a bench log");
}

Json entry_json(const BenchEntry& e) {
  Json j{{"who", e.who}, {"at", e.at}};
  j.update(std::visit([](const auto& event) { return event_json(event); }, e.event));
  return j;
}

BenchEntry entry_from(JsonFields& f) {
  BenchEntry e;
  e.who = f.text("who");
  e.at = f.text("at");
  try {
    seconds_of(e.at);
  } catch (const Error&) {
    f.refuse("at", "is no time; write YYYY-MM-DDThh:mm:ssZ");
  }
  e.event = event_from(f);
  f.finish();
  return e;
}

}  // namespace

std::string bench_log_json(const BenchLog& log) {
  Json entries = Json::array();
  for (const BenchEntry& e : log.entries) entries.push_back(entry_json(e));
  const Json j{{"format", "verdigrid-bench-log"},
               {"version", k_bench_log_version},
               {"board", log.board},
               {"entries", entries}};
  return j.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

BenchLog bench_log_from_json(std::string_view text, std::string_view where) {
  const nlohmann::json document = parsed_json(text, where);
  JsonFields f(document, "", std::string(where));
  check_heading(f, where, "verdigrid-bench-log", k_bench_log_version);
  BenchLog log;
  log.board = f.text_or("board", "");
  for (JsonFields& e : f.objects("entries")) log.entries.push_back(entry_from(e));
  f.finish();
  return log;
}

BenchLog load_bench_log(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_largest_file);
  return bench_log_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                             path.filename().string());
}

}  // namespace verdigrid
