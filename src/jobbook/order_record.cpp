#include "jobbook/order_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/error.h"
#include "jobbook/order_entries.h"
#include "jobbook/plan_record.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char *k_drawer = "drawer", *k_order = "order";
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
    if (!boards.contains(p.board)) boards[p.board] = part_entries(book, p.board);
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
    for (const auto& [designator, entry] : part_entries(book, record.parent.value_or("")))
      if (entry.value("order", "") == order &&
          entry.value("state", "") == name(OrderState::ordered))
        parts.push_back({*record.parent, designator});
  if (parts.empty())
    throw Error(ErrorKind::wrong_use, order + ": nothing of it is still on its way.");
  return edits_of_parts(book, parts,
                        [](size_t) { return PartUpdate{.state = OrderState::arrived}; });
}

}  // namespace verdigrid
