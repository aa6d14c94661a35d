#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "plan/plan_json.h"
#include "plan/power_lock.h"

namespace verdigrid {

using Json = nlohmann::ordered_json;

namespace {

constexpr std::uintmax_t k_largest_file = 16u << 20;
constexpr double k_most = 1e6;
constexpr std::array k_told{Told::not_known, Told::no, Told::yes};
constexpr std::array k_kinds{LockEntryKind::evidence, LockEntryKind::override_,
                             LockEntryKind::finding, LockEntryKind::power, LockEntryKind::test};
constexpr std::array k_verdicts{TestVerdict::pass, TestVerdict::fail, TestVerdict::not_tested};

struct ToldField {
  const char* name;
  Told LockFacts::*field;
};
constexpr ToldField k_told_fields[] = {
    {"battery_fitted", &LockFacts::battery_fitted},
    {"battery_leaking", &LockFacts::battery_leaking},
    {"wet", &LockFacts::wet},
    {"picture_tube", &LockFacts::picture_tube},
    {"mains_capacitors", &LockFacts::mains_capacitors},
    {"above_50_v", &LockFacts::above_50_v},
    {"mains_suppression", &LockFacts::mains_suppression},
};

void put(Json& j, const char* key, const std::string& text) {
  if (!text.empty()) j[key] = text;
}

Json facts_json(const LockFacts& f) {
  Json j{{"findings", f.findings},
         {"open_items", f.open_items},
         {"unseen_percent", f.unseen_percent},
         {"eaten_copper", f.has_eaten_copper},
         {"battery_was_fitted", f.battery_was_fitted},
         {"rail_parts", f.rail_parts},
         {"parts_off", f.parts_off},
         {"parts_asked", f.parts_asked}};
  for (const ToldField& t : k_told_fields) j[t.name] = name(f.*t.field);
  return j;
}

LockFacts facts_from(JsonFields f) {
  LockFacts facts;
  facts.findings = f.whole("findings");
  facts.open_items = f.whole("open_items");
  facts.unseen_percent = percent(f, "unseen_percent");
  facts.has_eaten_copper = f.truth_or("eaten_copper", false);
  facts.battery_was_fitted = f.truth_or("battery_was_fitted", false);
  facts.rail_parts = f.texts("rail_parts");
  facts.parts_off = f.texts("parts_off");
  facts.parts_asked = f.texts("parts_asked");
  for (const ToldField& t : k_told_fields) facts.*t.field = word(f, t.name, k_told);
  f.finish();
  return facts;
}

Json supply_json(const SupplyCheck& s) {
  Json rails = Json::array();
  for (const SupplyRail& r : s.rails)
    rails.push_back({{"name", r.name},
                     {"nominal_v", r.nominal_v},
                     {"measured_v", r.measured_v},
                     {"load_a", r.load_a}});
  return {{"name", s.name}, {"rails", rails}};
}

double between_numbers(JsonFields& f, const std::string& key, double low) {
  const double v = f.number(key);
  if (!(v >= low && v <= k_most)) f.refuse(key, fmt::format("must be {:g} to {:g}", low, k_most));
  return v;
}

SupplyCheck supply_from(JsonFields f) {
  SupplyCheck s;
  s.name = f.text("name");
  for (JsonFields& r : f.objects("rails")) {
    s.rails.push_back({r.text("name"), between_numbers(r, "nominal_v", -k_most),
                       between_numbers(r, "measured_v", -k_most), between_numbers(r, "load_a", 0)});
    r.finish();
  }
  f.finish();
  return s;
}

Json power_json(const FirstPower& p) {
  Json points = Json::array();
  for (const PowerPoint& q : p.points)
    points.push_back({{"at_s", q.at_s}, {"volts", q.volts}, {"amps", q.amps}});
  return {{"supply", p.supply},
          {"limit_a", p.limit_a},
          {"points", points},
          {"smell_or_heat", name(p.smell_or_heat)}};
}

FirstPower power_from(JsonFields f) {
  FirstPower p;
  p.supply = f.text("supply");
  p.limit_a = between_numbers(f, "limit_a", 0);
  for (JsonFields& q : f.objects("points")) {
    p.points.push_back({between_numbers(q, "at_s", 0), between_numbers(q, "volts", -k_most),
                        between_numbers(q, "amps", 0)});
    q.finish();
  }
  p.smell_or_heat = word(f, "smell_or_heat", k_told);
  f.finish();
  return p;
}

bool has_condition(LockEntryKind kind) {
  return kind == LockEntryKind::evidence || kind == LockEntryKind::override_;
}

Json entry_json(const LockEntry& e) {
  Json j{{"kind", name(e.kind)}, {"who", e.who}, {"on", e.on}};
  if (has_condition(e.kind)) j["condition"] = name(e.condition);
  put(j, "note", e.note);
  put(j, "photo", e.photo);
  put(j, "photo_sha256", e.photo_sha256);
  if (e.value) j["value"] = *e.value;
  put(j, "unit", e.unit);
  put(j, "rail", e.rail);
  put(j, "comparison", e.comparison);
  if (e.supply) j["supply"] = supply_json(*e.supply);
  if (e.power) j["power"] = power_json(*e.power);
  for (const TestItem& t : e.tests)
    j["tests"].push_back({{"what", t.what}, {"verdict", name(t.verdict)}});
  return j;
}

LockEntry entry_from(JsonFields& f) {
  LockEntry e;
  e.kind = word(f, "kind", k_kinds);
  e.who = f.text("who");
  e.on = f.text("on");
  if (has_condition(e.kind)) {
    const std::string text = f.text("condition");
    const auto condition = lock_condition_named(text);
    if (!condition) f.refuse("condition", "\"" + text + "\" is no condition");
    e.condition = *condition;
  }
  e.note = f.text_or("note", "");
  e.photo = f.text_or("photo", "");
  e.photo_sha256 = f.text_or("photo_sha256", "");
  e.value = number_if(f, "value");
  e.unit = f.text_or("unit", "");
  e.rail = f.text_or("rail", "");
  e.comparison = f.text_or("comparison", "");
  f.allow("supply"), f.allow("power");
  if (f.has("supply")) e.supply = supply_from(f.object("supply"));
  if (f.has("power")) e.power = power_from(f.object("power"));
  for (JsonFields& t : f.objects("tests")) {
    e.tests.push_back({t.text("what"), word(t, "verdict", k_verdicts)});
    t.finish();
  }
  f.finish();
  return e;
}

Json state_json(const LockState& state) {
  Json conditions = Json::array();
  for (const ConditionView& v : state.conditions)
    conditions.push_back({{"condition", name(v.condition)},
                          {"state", name(v.state)},
                          {"sentence", v.sentence},
                          {"by", v.by},
                          {"may_override", v.may_override}});
  return {{"headline", state.headline},
          {"cleared", state.is_cleared},
          {"supply", state.supply},
          {"conditions", conditions}};
}

}  // namespace

std::string power_lock_json(const PowerLock& lock, const std::string& date) {
  Json log = Json::array();
  for (const LockEntry& e : lock.log) log.push_back(entry_json(e));
  const Json j{{"format", "verdigrid-power-lock"},
               {"version", k_power_lock_version},
               {"board", lock.board},
               {"facts", facts_json(lock.facts)},
               {"log", log},
               {"as_of", date},
               {"state_then", state_json(state_of(lock, date))}};
  return j.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

PowerLock power_lock_from_json(std::string_view text, std::string_view where) {
  const nlohmann::json document = parsed_json(text, where);
  JsonFields f(document, "", std::string(where));
  check_heading(f, where, "verdigrid-power-lock", k_power_lock_version);
  PowerLock lock;
  lock.board = f.text_or("board", "");
  lock.facts = facts_from(f.object("facts"));
  for (JsonFields& e : f.objects("log")) {
    lock.log.push_back(entry_from(e));
    try {
      state_of({}, lock.log.back().on);
    } catch (const Error&) {
      e.refuse("on", "is no date; write YYYY-MM-DD");
    }
  }
  f.allow("as_of"), f.allow("state_then");
  f.finish();
  return lock;
}

PowerLock load_power_lock(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_largest_file);
  return power_lock_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                              path.filename().string());
}

}  // namespace verdigrid
