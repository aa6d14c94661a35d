#include "jobbook/order_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/error.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/plan_record.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char *k_parts = "parts", *k_drawer = "drawer", *k_order = "order";
constexpr double k_most_volts = 10'000, k_most_mm = 1000;

json spec_json(const PartSpec& s) {
  return {{"kind", name(s.kind)},         {"value", s.value},         {"volts", s.volts},
          {"diameter_mm", s.diameter_mm}, {"height_mm", s.height_mm}, {"spacing_mm", s.spacing_mm}};
}

PartSpec spec_from(const json& j) {
  return {part_kind_named(j.value("kind", "")).value_or(PartKind::unknown),
          j.value("value", ""),
          j.value("volts", 0.0),
          j.value("diameter_mm", 0.0),
          j.value("height_mm", 0.0),
          j.value("spacing_mm", 0.0)};
}

std::optional<Record> parts_record(const JobBook& book, const std::string& board) {
  const auto records = book.children(board, k_parts);
  return records.empty() ? std::nullopt : std::optional(records.back());
}

// What a body lacks is not known; a body that is no object of this kind is named.
template <class Read>
auto read_body(const Record& record, Read read) {
  try {
    return read(record.body);
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input,
                record.id + ": is damaged or was written by hand. Restore the last backup.");
  }
}

// The entries of a board by designator, as they stand in the body.
std::map<std::string, json> entries_of(const JobBook& book, const std::string& board) {
  std::map<std::string, json> entries;
  if (const auto record = parts_record(book, board))
    read_body(*record, [&](const json& body) {
      for (const json& e : body.at("parts")) entries[e.at("designator").get<std::string>()] = e;
      return true;
    });
  return entries;
}

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
  const std::map<std::string, json> entries = entries_of(book, *record.parent);
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

void check_length(const char* what, const std::optional<double>& value, double most) {
  if (value && !(*value > 0 && *value <= most))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: must be above 0 and {:g} at most, not {:g}.", what, most, *value));
}

void check(const PartUpdate& c) {
  check_length("Voltage", c.volts, k_most_volts);
  check_length("Diameter", c.diameter_mm, k_most_mm);
  check_length("Height", c.height_mm, k_most_mm);
  check_length("Lead spacing", c.spacing_mm, k_most_mm);
}

void apply(json& entry, const PartUpdate& c, const JobBook& book) {
  if (c.state) entry["state"] = name(*c.state), entry["state_at"] = book.options().now();
  if (c.order) entry["order"] = *c.order;
  if (c.substitute) entry["substitute"] = *c.substitute;
  const auto tell = [&entry](const char* field, const auto& value) {
    if (value) entry["told"][field] = *value;
  };
  tell("volts", c.volts), tell("diameter_mm", c.diameter_mm);
  tell("height_mm", c.height_mm), tell("spacing_mm", c.spacing_mm);
  if (c.value) {
    entry["told"]["value"] = plain_value(*c.value);
    entry["told"]["by"] = book.options().who;
  }
  entry["who"] = book.options().who;
  entry["on"] = book.options().now().substr(0, 10);
}

// One edit a board; `change_of` gives what becomes of each part.
template <class ChangeOf>
std::vector<Edit> edits_of_parts(const JobBook& book, const std::vector<PartPlace>& parts,
                                 ChangeOf change_of) {
  std::map<std::string, std::map<std::string, json>> boards;
  for (size_t i = 0; i < parts.size(); ++i) {
    const PartPlace& p = parts[i];
    if (!boards.contains(p.board)) boards[p.board] = entries_of(book, p.board);
    json& entry = boards[p.board][p.designator];
    entry["designator"] = p.designator;
    apply(entry, change_of(i), book);
  }
  std::vector<Edit> edits;
  for (const auto& [board, entries] : boards) {
    json list = json::array();
    for (const auto& [designator, entry] : entries) list.push_back(entry);
    const auto old = parts_record(book, board);
    const json body{{"parts", list}};
    edits.push_back(old ? Edit{old->id, k_parts, {}, body} : Edit{"", k_parts, board, body});
  }
  return edits;
}

std::optional<Record> drawer_record(const JobBook& book) {
  const auto records = book.of_kind(k_drawer);
  return records.empty() ? std::nullopt : std::optional(records.back());
}

Edit drawer_edit(const JobBook& book, const std::vector<StockRow>& rows) {
  json list = json::array();
  for (const StockRow& r : rows)
    list.push_back({{"spec", spec_json(r.spec)}, {"count", r.count}, {"note", r.note}});
  const auto old = drawer_record(book);
  const json body{{"rows", list}};
  return old ? Edit{old->id, k_drawer, {}, body} : Edit{"", k_drawer, {}, body};
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

std::vector<Edit> part_edits(const JobBook& book, const std::vector<PartPlace>& parts,
                             const PartUpdate& change) {
  check(change);
  std::map<std::string, std::vector<std::string>> asked;  // by board, of its plan
  for (const PartPlace& p : parts) {
    if (!asked.contains(p.board)) {
      auto& known = asked[p.board];
      if (const auto plan = kept_plan(book, p.board))
        for (const PartToOrder& o : replaced_parts(*plan)) known.push_back(o.part.designator);
    }
    const auto& known = asked[p.board];
    if (std::find(known.begin(), known.end(), p.designator) == known.end())
      throw Error(
          ErrorKind::wrong_use,
          fmt::format("{}: the board's plan asks for no such part. {}", p.designator,
                      known.empty() ? "It asks for none; add an item with 'verdigrid plan add'."
                                    : fmt::format("It asks for {}.", fmt::join(known, ", "))));
  }
  return edits_of_parts(book, parts, [&change](size_t) { return change; });
}

std::vector<StockRow> drawer_of(const JobBook& book) {
  std::vector<StockRow> rows;
  if (const auto record = drawer_record(book))
    read_body(*record, [&rows](const json& body) {
      for (const json& r : body.at("rows"))
        rows.push_back({spec_from(r.at("spec")), r.at("count").get<int>(), r.value("note", "")});
      return true;
    });
  return rows;
}

std::vector<Edit> stock_edits(const JobBook& book, const StockRow& change) {
  check({.volts = change.spec.volts > 0 ? std::optional(change.spec.volts) : std::nullopt,
         .diameter_mm =
             change.spec.diameter_mm > 0 ? std::optional(change.spec.diameter_mm) : std::nullopt});
  if (change.spec.value.empty())
    throw Error(ErrorKind::wrong_use, "Name the value of what lies in the drawer: \"100 uF\".");
  if (change.count == 0 || std::abs(change.count) > 1'000'000)
    throw Error(ErrorKind::wrong_use,
                "Say how many: a count above 0 adds to the drawer, one below 0 takes away.");
  std::vector<StockRow> rows = drawer_of(book);
  auto at = std::find_if(rows.begin(), rows.end(), [&](const StockRow& r) {
    return r.spec == change.spec && r.note == change.note;
  });
  const int there = at == rows.end() ? 0 : at->count;
  if (there + change.count < 0)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: {} lie in the drawer, so {} cannot be taken.", words(change.spec),
                            there, -change.count));
  if (at == rows.end())
    rows.push_back(change);
  else
    at->count += change.count;
  std::erase_if(rows, [](const StockRow& r) { return r.count == 0; });
  return {drawer_edit(book, rows)};
}

std::vector<Edit> taking_edits(const JobBook& book, const OrderOptions& options) {
  const std::vector<NeededPart> needed = needed_parts(book);
  std::vector<StockRow> rows = drawer_of(book);
  const std::vector<Taking> takings = takings_of(needed, rows, options);
  if (takings.empty())
    throw Error(ErrorKind::no_result,
                "Nothing in the drawer fits a part that is needed: 'verdigrid order list' shows "
                "what is needed, 'verdigrid order drawer' what lies there.");
  std::vector<PartPlace> parts;
  for (const Taking& t : takings) {
    --rows[t.row].count;
    parts.push_back({needed[t.part].board, needed[t.part].designator});
  }
  std::erase_if(rows, [](const StockRow& r) { return r.count == 0; });
  std::vector<Edit> edits = edits_of_parts(book, parts, [&](size_t i) {
    PartUpdate c{.state = OrderState::in_drawer};
    if (!takings[i].substitute.empty()) c.substitute = takings[i].substitute;
    return c;
  });
  edits.push_back(drawer_edit(book, rows));
  return edits;
}

std::vector<PlacedOrder> placed_orders(const JobBook& book) {
  std::map<std::string, std::pair<int, int>> pieces;  // all, arrived
  for (const Record& record : book.of_kind(k_parts))
    read_body(record, [&pieces](const json& body) {
      for (const json& e : body.at("parts"))
        if (const std::string order = e.value("order", ""); !order.empty()) {
          const std::string state = e.value("state", "");
          ++pieces[order].first;
          pieces[order].second +=
              state == name(OrderState::arrived) || state == name(OrderState::fitted);
        }
      return true;
    });
  std::vector<PlacedOrder> orders;
  for (const Record& r : book.of_kind(k_order)) {
    const auto& [all, arrived] = pieces[r.id];
    orders.push_back({r.id, r.body.value("from", ""), r.body.value("on", ""),
                      r.body.value("who", ""), r.body.value("csv", ""), all, arrived});
  }
  return orders;
}

std::vector<Edit> order_edits(const JobBook& book, const OrderOptions& options,
                              const std::string& from) {
  const std::vector<NeededPart> needed = needed_parts(book);
  const std::vector<OrderLine> lines = order_lines(needed, options);
  if (lines.empty())
    throw Error(ErrorKind::no_result,
                "There is nothing to order: no plan needs a part that may be ordered. 'verdigrid "
                "order list' says what is needed and why it waits.");
  const std::string id = book.new_id(k_order);
  std::vector<Edit> edits{{id,
                           k_order,
                           {},
                           json{{"from", from},
                                {"who", book.options().who},
                                {"on", book.options().now().substr(0, 10)},
                                {"csv", order_csv(lines, needed)}}}};
  std::vector<PartPlace> parts;
  for (const OrderLine& line : lines)
    for (const size_t i : line.parts) parts.push_back({needed[i].board, needed[i].designator});
  for (Edit& e : edits_of_parts(book, parts, [&id](size_t) {
         return PartUpdate{.state = OrderState::ordered, .order = id};
       }))
    edits.push_back(std::move(e));
  return edits;
}

std::vector<Edit> arrival_edits(const JobBook& book, const std::string& order) {
  if (book.get(order).kind != k_order)
    throw Error(ErrorKind::wrong_use,
                order + ": is no order. 'verdigrid order list' shows the orders.");
  std::vector<PartPlace> parts;
  for (const Record& record : book.of_kind(k_parts))
    for (const auto& [designator, entry] : entries_of(book, record.parent.value_or("")))
      if (entry.value("order", "") == order &&
          entry.value("state", "") == name(OrderState::ordered))
        parts.push_back({*record.parent, designator});
  if (parts.empty())
    throw Error(ErrorKind::wrong_use, order + ": nothing of it is still on its way.");
  return edits_of_parts(book, parts,
                        [](size_t) { return PartUpdate{.state = OrderState::arrived}; });
}

}  // namespace verdigrid
