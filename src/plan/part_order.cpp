#include "plan/part_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "layout/words.h"
#include "measure/zones_csv.h"

namespace verdigrid {

namespace {

constexpr Words<OrderState, 5> k_states{{{OrderState::needed, "needed"},
                                         {OrderState::in_drawer, "in the drawer"},
                                         {OrderState::ordered, "ordered"},
                                         {OrderState::arrived, "arrived"},
                                         {OrderState::fitted, "fitted"}}};

bool is_wanted(const NeededPart& p, const OrderOptions& o) {
  return p.state == OrderState::needed && p.why_not.empty() && (o.offered || !p.optional) &&
         (o.unit.empty() || o.unit == p.unit);
}

// "uF" values by their amount, other texts by their letters.
auto key_of(const PartSpec& s, const std::string& substitute) {
  return std::tuple(s.kind, s.value.size(), s.value, s.volts, s.diameter_mm, s.height_mm,
                    s.spacing_mm, substitute);
}

std::string length(double mm) { return mm > 0 ? fmt::format("{:.7g}", mm) : std::string(); }

// "Logger, board 1: C1 C2; ..."
std::string places_words(const OrderLine& line, const std::vector<NeededPart>& parts) {
  std::string text, board;
  for (const size_t i : line.parts) {
    const NeededPart& p = parts[i];
    if (p.board != board)
      text +=
          fmt::format("{}{} {}, {}:", text.empty() ? "" : "; ", p.unit, p.unit_name, p.board_name);
    board = p.board;
    text += " " + p.designator;
  }
  return text;
}

}  // namespace

const char* name(OrderState state) { return word_of(k_states, state); }
std::optional<OrderState> order_state_named(std::string_view text) {
  return value_of(k_states, text);
}

OrderState state_with_ledger(OrderState said, const std::string& said_at,
                             const std::string& designator, const std::vector<LedgerRow>& ledger) {
  if (said != OrderState::in_drawer && said != OrderState::arrived) return said;
  const bool is_on = std::any_of(ledger.begin(), ledger.end(), [&](const LedgerRow& r) {
    return r.designator == designator && r.state == PartState::back_on && r.at >= said_at;
  });
  return is_on ? OrderState::fitted : said;
}

std::vector<OrderLine> order_lines(const std::vector<NeededPart>& parts,
                                   const OrderOptions& options) {
  std::map<decltype(key_of({}, {})), OrderLine> lines;
  for (size_t i = 0; i < parts.size(); ++i) {
    const NeededPart& p = parts[i];
    if (!is_wanted(p, options)) continue;
    OrderLine& line = lines[key_of(p.spec, p.substitute)];
    if (line.parts.empty())
      line = {p.spec, p.substitute, {}, p.price, p.currency};
    else if (line.currency != p.currency || !p.price || !line.price_each)
      line.price_each.reset();  // of no use unless it holds for every piece
    line.parts.push_back(i);
  }
  std::vector<OrderLine> list;
  for (auto& [key, line] : lines) list.push_back(std::move(line));
  return list;
}

std::string order_csv(const std::vector<OrderLine>& lines, const std::vector<NeededPart>& parts) {
  std::string csv =
      "count,kind,value,voltage_v,diameter_mm,height_mm,lead_spacing_mm,substitute,not_known,"
      "price_each,currency,for\r\n";
  for (const OrderLine& l : lines)
    csv += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}\r\n", l.parts.size(), name(l.spec.kind),
                       csv_field(l.spec.value), length(l.spec.volts), length(l.spec.diameter_mm),
                       length(l.spec.height_mm), length(l.spec.spacing_mm), csv_field(l.substitute),
                       csv_field(missing_words(l.spec)),
                       l.price_each ? fmt::format("{:.2f}", *l.price_each) : std::string(),
                       csv_field(l.currency), csv_field(places_words(l, parts)));
  return csv;
}

std::vector<Taking> takings_of(const std::vector<NeededPart>& parts,
                               const std::vector<StockRow>& drawer, const OrderOptions& options) {
  std::vector<int> left;
  for (const StockRow& row : drawer) left.push_back(row.count);
  std::vector<Taking> list;
  for (size_t i = 0; i < parts.size(); ++i) {
    if (!is_wanted(parts[i], options)) continue;
    const PartSpec& wanted = parts[i].spec;
    std::optional<size_t> best;
    for (size_t row = 0; row < drawer.size(); ++row)
      if (left[row] > 0 && misfit(drawer[row].spec, wanted).empty() &&
          (!best || drawer[row].spec.volts < drawer[*best].spec.volts))
        best = row;
    if (!best) continue;
    --left[*best];
    const double volts = drawer[*best].spec.volts;
    list.push_back({i, *best,
                    volts == wanted.volts
                        ? std::string()
                        : fmt::format("{:g} V for {:g} V, from the drawer", volts, wanted.volts)});
  }
  return list;
}

}  // namespace verdigrid
