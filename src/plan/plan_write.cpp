#include <nlohmann/json.hpp>

#include "plan/plan.h"
#include "plan/worth.h"

namespace verdigrid {

using Json = nlohmann::ordered_json;

namespace {

void put(Json& j, const char* key, const std::string& text) {
  if (!text.empty()) j[key] = text;
}

Json part_json(const ItemPart& p) {
  Json j{{"designator", p.designator}, {"kind", name(p.kind)}};
  put(j, "value", p.value);
  put(j, "rating", p.rating);
  put(j, "package", p.package);
  put(j, "revision", p.revision);
  return j;
}

Json pin_json(const PinName& p) {
  Json j{{"designator", p.designator}};
  put(j, "pin", p.pin);
  return j;
}

Json item_json(const WorkItem& w) {
  Json j{{"id", w.id},
         {"operation", name(w.operation)},
         {"stage", name(w.stage)},
         {"what", w.what},
         {"place", w.place},
         {"side", name(w.side)},
         {"quantity", w.quantity},
         {"damaged", w.damaged},
         {"optional", w.optional}};
  for (const ItemPart& p : w.parts) j["parts"].push_back(part_json(p));
  for (const NetPair& p : w.pairs)
    j["pairs"].push_back({{"net", p.net}, {"from", pin_json(p.from)}, {"to", pin_json(p.to)}});
  if (!w.findings.empty()) j["findings"] = w.findings;
  put(j, "reason", w.reason);
  if (w.minutes) j["minutes"] = {w.minutes->low, w.minutes->likely, w.minutes->high};
  if (w.waiting_min) j["waiting_min"] = *w.waiting_min;
  j["done"] = w.done;
  put(j, "done_by", w.done_by);
  put(j, "done_on", w.done_on);
  if (w.actual_min) j["actual_min"] = *w.actual_min;
  return j;
}

Json side_json(const PlanSide& s) {
  return {{"side", name(s.side)},           {"photo", s.photo},
          {"photo_sha256", s.photo_sha256}, {"detector", s.detector},
          {"findings", s.findings},         {"unseen_percent", s.unseen_percent},
          {"severity", name(s.severity)},   {"has_mm", s.has_mm},
          {"has_layout", s.has_layout}};
}

Json figures_json(const Figures& f, double money_per_hour) {
  return {{"likely_min", f.likely_min},
          {"allow_min", f.allow_min},
          {"waiting_min", f.waiting_min},
          {"likely_cost", likely_cost(f, money_per_hour)},
          {"allow_cost", allow_cost(f, money_per_hour)}};
}

Json named_json(const std::vector<NamedFigures>& list, const char* key, double money_per_hour) {
  Json all = Json::array();
  for (const NamedFigures& n : list) {
    Json j{{key, n.name}};
    j.update(figures_json(n.figures, money_per_hour));
    all.push_back(std::move(j));
  }
  return all;
}

Json estimate_json(const Estimate& e, double money_per_hour) {
  return {{"total", figures_json(e.total, money_per_hour)},
          {"places", named_json(e.zones, "place", money_per_hour)},
          {"items", named_json(e.items, "id", money_per_hour)}};
}

Json advice_json(const std::vector<Advice>& list) {
  Json all = Json::array();
  for (const Advice& a : list)
    all.push_back(
        {{"about", a.id}, {"sentence", a.sentence}, {"source", a.source}, {"refuses", a.refuses}});
  return all;
}

Json worth_json(const Worth& w) {
  return {{"grade", name(w.grade)}, {"provisional", w.is_provisional}, {"reasons", w.reasons}};
}

}  // namespace

std::string plan_json(const Plan& plan) {
  const Estimate estimate = estimate_of(plan);
  Json sides = Json::array(), items = Json::array(), fitted = Json::array();
  for (const PlanSide& s : plan.sides) sides.push_back(side_json(s));
  for (const WorkItem& w : plan.items) items.push_back(item_json(w));
  for (const PartKind kind : plan.fitted) fitted.push_back(name(kind));
  const Json j{{"format", "verdigrid-plan"},
               {"version", k_plan_version},
               {"board", plan.board},
               {"sides", sides},
               {"fitted", fitted},
               {"known", Json::parse(known_json(plan.known))},
               {"items", items},
               {"next_id", plan.next_id},
               {"estimate", estimate_json(estimate, plan.rates.money_per_hour)},
               {"worth", worth_json(worth_of(plan, estimate))},
               {"advice", advice_json(advice_of(plan))},
               {"rates", Json::parse(rate_table_json(plan.rates))}};
  return j.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace verdigrid
