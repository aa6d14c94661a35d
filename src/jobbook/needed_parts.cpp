// What the plans of the shelf ask for, and how far each part is.

#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/order_entries.h"
#include "jobbook/order_record.h"
#include "jobbook/plan_record.h"

namespace verdigrid {

using nlohmann::json;

namespace {

void add_told(NeededPart& part, const json& entry) {
  const auto told = entry.find("told");
  if (told == entry.end()) return;
  const auto take = [&](const char* field, double& into) {
    if (told->contains(field)) into = told->at(field).get<double>();
  };
  take("volts", part.spec.volts), take("diameter_mm", part.spec.diameter_mm);
  take("height_mm", part.spec.height_mm), take("spacing_mm", part.spec.spacing_mm);
  // One person's word settles what is not known, and no quarrel of print, old part and meter.
  if (!told->contains("value") || part.why_not.starts_with("ASK")) return;
  part.spec.value = told->at("value").get<std::string>();
  part.value_from = "told by " + told->value("by", k_nobody);
  part.why_not.clear();
}

OrderState state_of(const json& entry, const std::vector<LedgerRow>& ledger) {
  const auto said = order_state_named(entry.value("state", "needed"));
  return state_with_ledger(said.value_or(OrderState::needed),
                           entry.value("state_at", entry.value("on", "")),
                           entry.at("designator").get<std::string>(), ledger);
}

void add_entry(NeededPart& part, const json& entry, const std::vector<LedgerRow>& ledger) {
  if (part.state != OrderState::fitted) part.state = state_of(entry, ledger);
  part.order = entry.value("order", "");
  part.substitute = entry.value("substitute", "");
  add_told(part, entry);
}

// The rule of plan/part_reading.h: what print, old part and meter agree on, else the layout's value
// when it is of this board's revision.
void judge_value(NeededPart& part, const OrderValue& value) {
  if (value.may_be_ordered && !value.value.empty()) part.spec.value = plain_value(value.value);
  (value.may_be_ordered ? part.value_from : part.why_not) = value.why;
  if (!value.may_be_ordered) part.value_from = "not settled";
}

const Part* part_in(const Layout* layout, const std::string& designator) {
  if (!layout) return nullptr;
  for (const Part& p : layout->parts)
    if (p.designator == designator) return layout->has_mm ? &p : nullptr;
  return nullptr;
}

void add_parts(const JobBook& book, const Record& record, const Unit& unit,
               std::vector<NeededPart>& all) {
  const Plan plan = plan_from_json(record.body.dump(), record.id);
  const std::vector<PartToOrder> replaced = replaced_parts(plan);
  if (replaced.empty()) return;
  const Board board = board_from(book.get(*record.parent).body);
  const std::optional<Layout> layout = layout_of(book, *record.parent);
  const std::map<std::string, json> entries = part_entries(book, *record.parent);
  const BenchLog log = bench_log_of(book, *record.parent);
  const auto readings = events<PartReading>(log);
  const std::vector<LedgerRow> rows = ledger(log);
  for (const PartToOrder& p : replaced) {
    NeededPart part;
    part.unit = *record.unit, part.unit_name = unit.name;
    part.board = *record.parent, part.board_name = board.name;
    part.designator = p.part.designator;
    part.spec = spec_of(p.part, part_in(layout ? &*layout : nullptr, p.part.designator));
    part.optional = p.optional;
    part.price = p.price;
    part.currency = plan.rates.currency;
    if (p.is_fitted) part.state = OrderState::fitted;
    judge_value(part, order_value(p.part, board.revision, readings));
    if (const auto at = entries.find(part.designator); at != entries.end())
      add_entry(part, at->second, rows);
    all.push_back(std::move(part));
  }
}

}  // namespace

std::vector<NeededPart> needed_parts(const JobBook& book) {
  std::vector<NeededPart> all;
  for (const Record& record : book.of_kind("plan")) {
    if (!record.unit || !record.parent) continue;
    const Unit unit = unit_from(book.get(*record.unit).body);
    if (unit.state != "handed over") add_parts(book, record, unit, all);
  }
  return all;
}

std::vector<NeededPart> needed_parts_of(const JobBook& book, const std::string& unit) {
  std::vector<NeededPart> all;
  for (const Record& record : book.of_unit(unit, "plan"))
    if (record.parent) add_parts(book, record, unit_from(book.get(unit).body), all);
  return all;
}

}  // namespace verdigrid
