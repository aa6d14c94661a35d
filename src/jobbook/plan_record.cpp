#include "jobbook/plan_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "base/error.h"
#include "jobbook/board_type.h"
#include "jobbook/survey_record.h"
#include "layout/layout_json.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_kind = "plan";

std::optional<Record> plan_record(const JobBook& book, const std::string& board) {
  const auto plans = book.children(board, k_kind);
  return plans.empty() ? std::nullopt : std::optional(plans.back());
}

Told told(Answer3 a) {
  return a == Answer3::yes ? Told::yes : a == Answer3::no ? Told::no : Told::not_known;
}

std::optional<double> number_in(std::string text) {
  if (text.starts_with("pH")) text.erase(0, 2);
  const auto is_number = [](char c) {
    return std::isdigit(static_cast<unsigned char>(c)) || c == '.';
  };
  std::erase(text, ' ');
  if (text.empty() || !std::all_of(text.begin(), text.end(), is_number)) return std::nullopt;
  const json j = json::parse(text, nullptr, false);
  return j.is_number() ? std::optional(j.get<double>()) : std::nullopt;
}

// As the record says today, whatever it said when the plan was made.
BatteryData battery_data_of(const Battery& b) {
  if (b.data_saved || b.loss_accepted) return BatteryData::settled;
  if (b.keeps_data == Answer3::no) return BatteryData::nothing;
  return b.keeps_data == Answer3::yes ? BatteryData::kept : BatteryData::maybe;
}

// Only words that leave no doubt; anything else stays not known.
BatteryKind battery_kind_of(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (const auto kind = battery_kind_named(text)) return *kind;
  const std::pair<const char*, BatteryKind> words[] = {
      {"nicd", BatteryKind::nickel},           {"ni-cd", BatteryKind::nickel},
      {"nickel-cadmium", BatteryKind::nickel}, {"nimh", BatteryKind::nickel},
      {"ni-mh", BatteryKind::nickel},          {"thionyl", BatteryKind::lithium_thionyl},
      {"lead-acid", BatteryKind::lead_acid},   {"zinc-carbon", BatteryKind::zinc_carbon}};
  for (const auto& [word, kind] : words)
    if (text.find(word) != std::string::npos) return kind;
  return BatteryKind::not_known;
}

// Open work of several plans by one person; the first plan's rates say how people spread.
Estimate estimate_together(const std::vector<Record>& plans, int draws, const Work& work) {
  std::vector<Task> tasks;
  EstimateOptions options;
  for (const Record& r : plans) {
    const Plan plan = plan_from_json(r.body.dump(), r.id);
    if (&r == &plans.front()) options = estimate_options(plan.rates);
    for (Task& t : tasks_of(plan)) {
      t.id = r.id + " " + t.id;
      t.board = r.id;
      tasks.push_back(std::move(t));
    }
  }
  options.draws = draws;
  return estimate_of(tasks, options, work);
}

// Whether the plan takes a battery off and that is done; empty: it takes none off.
std::optional<bool> has_removed_battery(const Plan& plan) {
  std::optional<bool> done;
  for (const WorkItem& w : plan.items)
    if (w.operation == Operation::remove_battery && !w.optional)
      done = done.value_or(true) && w.done;
  return done;
}

std::string removed_on(const Plan& plan) {
  std::string newest;
  for (const WorkItem& w : plan.items)
    if (w.operation == Operation::remove_battery && w.done) newest = std::max(newest, w.done_on);
  return newest;
}

}  // namespace

bool follow_battery(const JobBook& book, const std::string& board, Unit& unit, const Plan& after) {
  const std::optional<Plan> before = kept_plan(book, board);
  const bool was_removed = before && has_removed_battery(*before).value_or(false);
  const auto is_removed = has_removed_battery(after);
  if (!is_removed || was_removed == *is_removed) return false;
  std::string& date = unit.battery.removed_on;
  if (!*is_removed) {
    if (date != removed_on(*before)) return false;
    date.clear();
    return true;
  }
  const std::optional<std::string> unit_id = book.get(board).unit;
  if (!date.empty() || !unit_id) return false;
  for (const Record& other : book.of_unit(*unit_id, "board"))
    if (other.id != board)
      if (const auto plan = kept_plan(book, other.id); plan && has_removed_battery(*plan) == false)
        return false;
  date = removed_on(after);
  return !date.empty();
}

// Advice is computed anew whenever it is shown; kept, it would only fill the search.
json to_body(const Plan& plan) {
  json body = json::parse(plan_json(plan));
  body.erase("advice");
  return body;
}

std::vector<Edit> plan_edits(const JobBook& book, const std::string& board, const Plan& plan) {
  const Record record = book.get(board);
  if (record.kind != "board")
    throw Error(ErrorKind::wrong_use, board + ": is no board. Name a board of the unit.");
  const std::optional<Record> old = plan_record(book, board);
  std::vector<Edit> edits{old ? Edit{old->id, k_kind, {}, to_body(plan)}
                              : Edit{book.new_id(k_kind), k_kind, board, to_body(plan)}};
  if (!record.unit) return edits;
  Unit unit = unit_from(book.get(*record.unit).body);
  bool is_changed = follow_battery(book, board, unit, plan);
  if (unit.state == "received" || unit.state == "surveyed") {
    unit.state = "planned";
    is_changed = true;
  }
  if (is_changed) edits.push_back({*record.unit, "unit", {}, to_body(unit)});
  return edits;
}

std::string keep_plan(JobBook& book, const std::string& board, const Plan& plan,
                      const std::string& what) {
  return book.change(what, plan_edits(book, board, plan)).front();
}

std::optional<Plan> kept_plan(const JobBook& book, const std::string& board) {
  const auto record = plan_record(book, board);
  if (!record) return std::nullopt;
  Plan plan = plan_from_json(record->body.dump(), record->id);
  if (record->unit)
    plan.known.battery_data = battery_data_of(unit_from(book.get(*record->unit).body).battery);
  return plan;
}

std::optional<Layout> layout_of(const JobBook& book, const std::string& board) {
  const Board b = board_from(book.get(board).body);
  if (b.type.empty()) return std::nullopt;
  const BoardType type = board_type_from(book.get(b.type).body);
  if (!type.layout.is_object()) return std::nullopt;
  return layout_from_json(type.layout.dump(), type.name);
}

std::vector<SideFacts> surveyed_sides(const JobBook& book, const std::string& board,
                                      double least_confidence) {
  const std::optional<Layout> layout = layout_of(book, board);
  const auto kept = surveys_on_arrival(book, board);
  if (kept.empty())
    throw Error(ErrorKind::wrong_use,
                board +
                    ": no photo of it was surveyed. Survey one first: verdigrid survey PHOTO "
                    "--jobbook BOOK --unit UNIT.");
  std::vector<SideFacts> sides;
  for (const KeptSide& k : kept) {
    const Survey survey = kept_survey(book, k.survey);
    sides.push_back(side_facts(survey, layout ? &*layout : nullptr, least_confidence));
    sides.back().side = k.side;
  }
  return sides;
}

Known known_of(const Unit& u) {
  Known k;
  k.battery_data = battery_data_of(u.battery);
  k.battery_fitted = u.battery.removed_on.empty() ? told(u.battery.fitted) : Told::no;
  k.battery_leaking = told(u.battery.leaking);
  k.battery = battery_kind_of(u.battery.kind);
  if (k.battery_leaking == Told::yes) k.leak_from = LeakSource::battery;
  k.wet = told(u.wet);
  k.picture_tube = told(u.picture_tube);
  k.mains_capacitors = told(u.mains_capacitors);
  k.nests = told(u.nests);
  if (const auto ph = number_in(u.strip_reading); ph && *ph >= 0 && *ph <= 14)
    k.strips.push_back({"", *ph, false, u.received_on});
  return k;
}

std::vector<Actual> actuals_of(const JobBook& book) {
  std::vector<Actual> all;
  for (const Record& r : book.of_kind(k_kind))
    for (Actual& a : actuals_of(plan_from_json(r.body.dump(), r.id))) all.push_back(std::move(a));
  return all;
}

std::vector<JobAgainst> jobs_against_estimate(const JobBook& book) {
  std::vector<JobAgainst> all;
  for (const Record& r : book.of_kind(k_kind)) {
    std::string type;
    if (r.parent) type = board_from(book.get(*r.parent).body).type;
    if (!type.empty()) type = board_type_from(book.get(type).body).name;
    for (JobAgainst& j : against_estimate(plan_from_json(r.body.dump(), r.id), type))
      all.push_back(std::move(j));
  }
  return all;
}

std::optional<PlanFigures> plan_figures(const JobBook& book, const std::string& unit) {
  const auto records = book.of_unit(unit, k_kind);
  if (records.empty()) return std::nullopt;
  PlanFigures figures;
  for (const Record& r : records) {
    figures.currency = r.body.at("rates").value("currency", "");
    if (const json& known = r.body.at("known"); known.contains("owner_value"))
      figures.owner_value = figures.owner_value.value_or(0) + known.at("owner_value").get<double>();
  }
  if (records.size() == 1) {  // as it was computed when the plan was kept
    const json& total = records.front().body.at("estimate").at("total");
    figures.likely_min = total.at("likely_min").get<double>();
    figures.allow_min = total.at("allow_min").get<double>();
    return figures;
  }
  const Figures total = estimate_together(records, EstimateOptions().draws, {}).total;
  figures.likely_min = total.likely_min;
  figures.allow_min = total.allow_min;
  return figures;
}

Estimate queue_estimate(const JobBook& book, int draws, const Work& work) {
  std::vector<Record> open = book.of_kind(k_kind);
  std::erase_if(open, [&book](const Record& r) {
    return !r.unit || book.get(*r.unit).body.value("state", "") == "handed over";
  });
  return estimate_together(open, draws, work);
}

}  // namespace verdigrid
