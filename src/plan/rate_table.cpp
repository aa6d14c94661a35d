#include "plan/rate_table.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "layout/words.h"
#include "plan/lognormal.h"
#include "plan/plan_json.h"

namespace verdigrid {

using Json = nlohmann::ordered_json;

namespace {

constexpr std::uintmax_t k_largest_file = 4u << 20;
constexpr double k_most_minutes = 100'000;
constexpr double k_far_from_middle = 1.5;  // common practice, no source

constexpr Words<SpreadKind, 2> k_spreads{
    {{SpreadKind::p10_p90, "p10-p90"}, {SpreadKind::bounds, "bounds"}}};

Json triple_json(const Triple& t) { return Json::array({t.low, t.likely, t.high}); }

Json rate_json(const Rate& r) {
  const OperationFacts& f = facts(r.operation);
  Json j{{"operation", f.name},
         {"per", f.piece},
         {"sound_min", triple_json(r.sound)},
         {"damaged_min", triple_json(r.damaged)}};
  if (r.set_up) j["set_up_min"] = triple_json(*r.set_up);
  if (r.waiting_min != 0) j["waiting_min"] = r.waiting_min;
  if (r.consumables != 0) j["consumables"] = r.consumables;
  if (r.learning_slope != 1) j["learning_slope"] = r.learning_slope;
  j["source"] = r.source;
  return j;
}

Rate rate_from(JsonFields& f) {
  Rate r;
  const std::string text = f.text("operation");
  const auto operation = operation_named(text);
  if (!operation || *operation == Operation::other)
    f.refuse("operation", "\"" + text + "\" is no operation; 'verdigrid rates show' lists them");
  r.operation = *operation;
  f.allow("per");
  r.sound = triple_from(f, "sound_min");
  r.damaged = triple_from(f, "damaged_min");
  f.allow("set_up_min");
  if (f.has("set_up_min")) r.set_up = triple_from(f, "set_up_min");
  r.waiting_min = amount_or(f, "waiting_min", 0, k_most_minutes);
  r.consumables = amount_or(f, "consumables", 0, k_most_money);
  r.learning_slope = f.number_or("learning_slope", 1);
  if (!(r.learning_slope >= 0.5 && r.learning_slope <= 1))
    f.refuse("learning_slope", "must lie between 0.5 and 1 (1: no learning)");
  r.source = f.text_or("source", "not stated");
  f.finish();
  return r;
}

void refuse_gaps(const RateTable& table, JsonFields& fields) {
  for (const Operation o : operations()) {
    const auto rows = std::count_if(table.rates.begin(), table.rates.end(),
                                    [o](const Rate& r) { return r.operation == o; });
    if (o != Operation::other && rows != 1)
      fields.refuse("rates", fmt::format("has {} rows for \"{}\", wants one; 'verdigrid rates "
                                         "init' writes a table with all of them",
                                         rows, name(o)));
  }
}

void add_remarks(std::vector<std::string>& list, const Rate& r, const char* state,
                 const Triple& t) {
  const double middle = std::sqrt(t.low * t.high);
  if (std::abs(std::log(t.likely / middle)) > std::log(k_far_from_middle))
    list.push_back(fmt::format(
        "{}, {}: likely {:g} min lies far from {:.3g} min, the middle that low {:g} and high {:g} "
        "give; check the three figures.",
        facts(r.operation).name, state, t.likely, middle, t.low, t.high));
}

}  // namespace

const char* name(SpreadKind kind) { return word_of(k_spreads, kind); }

bool is_starting_value(const Rate& rate) { return rate.source.starts_with("starting value"); }

const Rate& rate_of(const RateTable& table, Operation operation) {
  for (const Rate& r : table.rates)
    if (r.operation == operation) return r;
  throw Error(ErrorKind::bad_input,
              fmt::format("The rate table has no row for \"{}\"; add one, or give the work item "
                          "minutes of its own.",
                          name(operation)));
}

std::string rate_table_json(const RateTable& t) {
  Json rates = Json::array(), parts = Json::array();
  for (const Rate& r : t.rates) rates.push_back(rate_json(r));
  for (const PartPrice& p : t.parts) parts.push_back({{"part", p.part}, {"price", p.price}});
  const Json j{{"format", "verdigrid-rate-table"},
               {"version", k_rate_table_version},
               {"currency", t.currency},
               {"money_per_hour", t.money_per_hour},
               {"low_and_high", name(t.spread)},
               {"worker_log_sd", t.worker_log_sd},
               {"rates", rates},
               {"parts", parts}};
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

RateTable rate_table_from_json(std::string_view text, std::string_view where) {
  const nlohmann::json document = parsed_json(text, where);
  JsonFields f(document, "", std::string(where));
  check_heading(f, where, "verdigrid-rate-table", k_rate_table_version);
  RateTable t;
  t.currency = f.text("currency");
  t.money_per_hour = amount_or(f, "money_per_hour", 0, k_most_money);
  t.spread = f.word_or("low_and_high", k_spreads, SpreadKind::p10_p90);
  t.worker_log_sd = amount_or(f, "worker_log_sd", t.worker_log_sd, 2);
  for (JsonFields& item : f.objects("rates")) t.rates.push_back(rate_from(item));
  for (JsonFields& item : f.objects("parts")) {
    t.parts.push_back({item.text("part"), amount_or(item, "price", 0, k_most_money)});
    item.finish();
  }
  f.finish();
  refuse_gaps(t, f);
  return t;
}

RateTable load_rate_table(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_largest_file);
  return rate_table_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                              path.filename().string());
}

std::vector<std::string> remarks(const RateTable& table) {
  std::vector<std::string> list;
  size_t untouched = 0;
  for (const Rate& r : table.rates) {
    add_remarks(list, r, "sound", r.sound);
    if (!(r.damaged == r.sound)) add_remarks(list, r, "damaged", r.damaged);
    if (r.damaged.likely < r.sound.likely)
      list.push_back(fmt::format("{}: damaged takes less than sound; check the two rows.",
                                 facts(r.operation).name));
    untouched += is_starting_value(r);
  }
  if (untouched > 0)
    list.push_back(
        fmt::format("{} of {} rows are starting values (common practice, no source): "
                    "put in your own minutes as you learn them.",
                    untouched, table.rates.size()));
  if (table.money_per_hour == 0)
    list.push_back("money_per_hour is 0: costs leave labour out until you state it.");
  return list;
}

}  // namespace verdigrid
